import { readdirSync, readFileSync } from 'node:fs'
import asyncApiSpecs from '@asyncapi/specs'
import { Ajv, type ValidateFunction } from 'ajv'
import { describe, expect, it } from 'vitest'
import { deviceConfig } from '../../firmware-protocol/device-config.ts'
import { deviceCommand } from '../../firmware-protocol/device-orders.ts'
import { deviceState, LAST_WILL } from '../../firmware-protocol/device-state.ts'
import { protocolDocuments } from '../../firmware-protocol/documents.ts'
import { TopicKind, topicOf } from '../../firmware-protocol/topics.ts'

const dir = new URL('../../firmware-protocol/contract/', import.meta.url)
const documents = protocolDocuments()
const schemaOf = (kind: TopicKind): ValidateFunction =>
  new Ajv({ strict: true, allowUnionTypes: true, allErrors: true }).compile(documents[`${kind}.schema.json`]!)
const vectors = (file: string): any =>
  JSON.parse(readFileSync(new URL(`../../firmware-protocol/vectors/${file}`, import.meta.url), 'utf8'))

describe('the kept documents', () => {
  it('are those that the schemas make: npm run protocol writes them', () => {
    expect(readdirSync(dir).sort()).toEqual(Object.keys(documents).sort())
    for (const [name, document] of Object.entries(documents))
      expect(JSON.parse(readFileSync(new URL(name, dir), 'utf8'))).toEqual(document)
  })
})

describe('the AsyncAPI document', () => {
  const document: any = documents['asyncapi.json']

  it('fits the official schema of AsyncAPI 3.0', () => {
    const ajv = new Ajv({
      strict: false,
      allErrors: true,
      validateFormats: false,
      meta: false,
      validateSchema: false,
    })
    const validate = ajv.compile(asyncApiSpecs.schemas['3.0.0'] as object)
    const fits = validate(document)
    expect(validate.errors ?? []).toEqual([])
    expect(fits).toBe(true)
    // The check can fail.
    expect(validate({ ...document, channels: { state: { address: 7 } } })).toBe(false)
  })

  it('resolves every reference within itself', () => {
    const references = [...JSON.stringify(document).matchAll(/"\$ref":"#\/([^"]+)"/g)].map(match => match[1]!)
    expect(references.length).toBeGreaterThan(15)
    for (const reference of references)
      expect(reference.split('/').reduce((at: any, step) => at?.[step], document)).toBeDefined()
  })

  it('names the topics of the contract, and which way each goes', () => {
    for (const kind of Object.values(TopicKind)) {
      expect(document.channels[kind].address.replace('{device}', 'bench-1')).toBe(topicOf('bench-1', kind))
      const sends = kind === 'measurements' || kind === 'state'
      expect(document.operations[kind].action).toBe(sends ? 'send' : 'receive')
    }
  })

  it('has examples that fit', () => {
    for (const kind of Object.values(TopicKind)) {
      const validate = schemaOf(kind)
      for (const { payload } of document.components.messages[kind].examples) {
        validate(payload)
        expect(validate.errors).toBeNull()
      }
    }
  })
})

describe('the JSON Schemas', () => {
  it('take the good vectors of measurements whose records all fit', () => {
    const validate = schemaOf('measurements')
    for (const { name, json, rejected } of vectors('good.json').cases) {
      if (json === undefined || rejected > 0) continue
      expect([name, validate(JSON.parse(json))]).toEqual([name, true])
    }
    expect(validate({})).toBe(false)
    expect(validate([{ n: 'water', v: '27' }])).toBe(false)
  })

  it('take the good vectors of the alarm, and refuse the bad ones that a schema can', () => {
    const validate = schemaOf('alarm')
    const { good, bad } = vectors('alarm.json')
    for (const { name, json } of good) expect([name, validate(JSON.parse(json))]).toEqual([name, true])
    const beyond = new Set([
      'no priority though one stands',
      'a priority though none stands',
      'more unacknowledged than stand',
      'sounding though all were acknowledged',
    ])
    for (const { name, json } of bad) {
      if (name === 'no JSON') continue
      expect([name, validate(JSON.parse(json))]).toEqual([name, beyond.has(name)])
    }
  })

  it.each([
    [
      'state',
      deviceState,
      [JSON.parse(LAST_WILL), { online: true, later: 1 }],
      [{}, { online: 1 }, { online: true, backlog: -1 }],
    ],
    [
      'config',
      deviceConfig,
      [{}, { revision: 2, limits: { water: { high: 29.4 } } }],
      [{ revision: -1 }, { sampleIntervalS: 0 }, []],
    ],
    [
      'command',
      deviceCommand,
      [{ command: 'report' }, { command: 'identify' }],
      [{}, { command: 'fly' }, { command: 'identify', seconds: 0 }],
    ],
  ] as const)('say of %s what the contract says', (kind, contract, good, bad) => {
    const validate = schemaOf(kind)
    for (const payload of [...good, ...bad])
      expect(validate(payload)).toBe(contract.safeParse(payload).success)
    for (const payload of good) expect(validate(payload)).toBe(true)
  })
})
