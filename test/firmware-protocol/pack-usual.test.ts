import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { readUsualPack } from '../../firmware-protocol/pack-usual.ts'
import {
  decodePack,
  MAX_BOOT_LENGTH,
  MAX_RECORDS,
  MAX_TEXT_LENGTH,
  PackError,
  type Pack,
} from '../../firmware-protocol/pack.ts'

const LIMITS = { records: MAX_RECORDS, bootLength: MAX_BOOT_LENGTH, textLength: MAX_TEXT_LENGTH }

const usual = (text: string) => readUsualPack(Buffer.from(text), LIMITS)

/** What the general reader says: a blank in front is all that keeps the reader of usual packs away. */
function general(text: string): Pack | null {
  try {
    return decodePack(Buffer.from(` ${text}`))
  } catch (error) {
    if (error instanceof PackError) return null
    throw error
  }
}

const name = fc.oneof(
  { weight: 12, arbitrary: fc.constantFrom('water', '2/air', 'light', 'constructor', 'n-1') },
  { weight: 1, arbitrary: fc.constantFrom('boot', 'seq', 'uptime', '__proto__', '', 'ä', '-n') },
)
const digits = fc.stringMatching(/^-?(0|[1-9][0-9]{0,16})(\.[0-9]{1,17})?([eE][+-]?[0-9]{1,3})?$/)
const number = fc.oneof(
  {
    weight: 4,
    arbitrary: fc.double({ noNaN: true, noDefaultInfinity: true }).map(value => JSON.stringify(value)),
  },
  {
    weight: 4,
    arbitrary: fc.integer({ min: -400_000, max: 400_000 }).map(sixteenths => String(sixteenths / 16)),
  },
  { weight: 4, arbitrary: digits },
  {
    weight: 1,
    arbitrary: fc.constantFrom('-0', '-0.0', '01', '1.', '.5', '-', '1e400', '0.0', '9007199254740993'),
  },
)
const text = fc.oneof(
  fc.constantFrom(
    '"Cel"',
    '"l/min"',
    '"lx"',
    '"fault"',
    '""',
    '"a\\"b"',
    '"\\u0041"',
    `"${'x'.repeat(300)}"`,
  ),
  fc.string({ maxLength: 70 }).map(plain => JSON.stringify(plain)),
)
const record = fc
  .record({
    name: name.map(plain => JSON.stringify(plain)),
    unit: fc.option(text, { freq: 2 }),
    value: fc.oneof(
      { weight: 12, arbitrary: number.map(plain => `"v":${plain}`) },
      { weight: 2, arbitrary: text.map(plain => `"vs":${plain}`) },
      {
        weight: 1,
        arbitrary: fc.constantFrom('"vb":true', '"s":3', '"v":1,"vs":"a"', '"bt":5', '"v":1,"v":2'),
      },
    ),
    time: fc.option(number, { freq: 3 }),
  })
  .map(
    ({ name, unit, value, time }) =>
      `{"n":${name}${unit === null ? '' : `,"u":${unit}`},${value}${time === null ? '' : `,"t":${time}`}}`,
  )
const pack = fc.array(record, { maxLength: 5 }).map(records => `[${records.join(',')}]`)

describe('the reader of usual packs', () => {
  it('says what the general reader says, or nothing', () => {
    let read = 0
    fc.assert(
      fc.property(pack, written => {
        const said = usual(written)
        if (said === null) return
        read++
        expect(said).toStrictEqual(general(written))
      }),
      { numRuns: 5000 },
    )
    expect(read).toBeGreaterThan(100)
  })

  it('does so too when any one byte was changed on the way', () => {
    const whole = '[{"n":"boot","vs":"b1"},{"n":"seq","v":41},{"n":"water","u":"Cel","v":-27.0625,"t":-1.5}]'
    for (let at = 0; at < whole.length; at++) {
      for (let byte = 0; byte < 256; byte++) {
        const bytes = Buffer.from(whole)
        bytes[at] = byte
        const said = readUsualPack(bytes, LIMITS)
        if (said === null) continue
        const blank = Buffer.concat([Buffer.from(' '), bytes])
        expect(said).toStrictEqual(decodePack(blank))
      }
      expect(usual(whole.slice(0, at))).toBeNull()
    }
  })

  it('reads what devices mostly send', () => {
    const written =
      '[{"n":"boot","vs":"b1"},{"n":"seq","v":41},{"n":"uptime","u":"s","v":12.5},' +
      '{"n":"water","u":"Cel","v":27.0625},{"n":"air","vs":"fault","t":-2},{"n":"2/light","u":"lx","v":-0}]'
    expect(usual(written)).toStrictEqual({
      boot: 'b1',
      seq: 41,
      uptimeS: 12.5,
      measurements: [
        { name: 'water', unit: 'Cel', timeS: 0, value: 27.0625 },
        { name: 'air', unit: null, timeS: -2, value: 'fault' },
        { name: '2/light', unit: 'lx', timeS: 0, value: 0 },
      ],
      rejected: [],
    })
  })

  it('reads every number of up to 15 digits as JSON does', () => {
    fc.assert(
      fc.property(fc.stringMatching(/^-?(0|[1-9][0-9]{0,6})(\.[0-9]{1,8})?$/), written => {
        const value = usual(`[{"n":"water","v":${written}}]`)?.measurements[0]?.value
        expect(value).toBe(0 + (JSON.parse(written) as number))
      }),
      { numRuns: 5000 },
    )
  })

  it('leaves too many records to the general reader', () => {
    const many = (count: number) => `[${Array.from({ length: count }, () => '{"n":"a","v":1}').join(',')}]`
    expect(usual(many(MAX_RECORDS))?.measurements).toHaveLength(MAX_RECORDS)
    expect(usual(many(MAX_RECORDS + 1))).toBeNull()
  })

  it('tells texts apart that share a place among those remembered', () => {
    for (let i = 0; i < 5000; i++) {
      expect(usual(`[{"n":"c${i}","u":"u${i}","v":1}]`)?.measurements).toEqual([
        { name: `c${i}`, unit: `u${i}`, timeS: 0, value: 1 },
      ])
    }
  })
})
