import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { decodePack, PackError } from '../../firmware-protocol/pack.ts'
import { seeded, share } from './inputs.ts'
import { cborPack, jsonPack } from './pack-inputs.ts'

/** Either a pack within its promises, or a PackError that says why: never anything else, and never slow. */
function read(payload: Uint8Array): void {
  const began = performance.now()
  try {
    const { measurements, seq } = decodePack(payload)
    for (const { value, timeS } of measurements) {
      if (typeof value === 'number') expect(Number.isFinite(value)).toBe(true)
      expect(Number.isFinite(timeS)).toBe(true)
    }
    if (seq !== null) expect(Number.isSafeInteger(seq)).toBe(true)
  } catch (error) {
    if (!(error instanceof PackError)) throw error
    expect(error.message.length).toBeGreaterThan(10)
  }
  // A whole second for some hundred bytes: only what grows out of all proportion takes it, on the busiest machine.
  expect(performance.now() - began).toBeLessThan(1000)
}

const options = () => ({ numRuns: share(300) * 2, ...seeded })

describe('a pack of any bytes', () => {
  it('as SenML JSON that was damaged', () => {
    fc.assert(fc.property(jsonPack, read), options())
  })

  it('as SenML CBOR that was damaged', () => {
    fc.assert(fc.property(cborPack, read), options())
  })

  it('as bytes of no kind', () => {
    fc.assert(fc.property(fc.uint8Array({ maxLength: 300 }), read), options())
  })

  it.each([
    ['JSON', '['.repeat(30_000)],
    ['JSON that closes', '['.repeat(15_000) + ']'.repeat(15_000)],
    ['objects', '[{"n":'.repeat(5000)],
    ['CBOR', '\x81'.repeat(60_000)],
    ['maps', '\xa1'.repeat(60_000)],
    ['lengths that lie', '\x9b\x7f\xff\xff\xff\xff\xff\xff\xff'],
    ['texts that lie', '\x81\xa1\x00\x7b\x00\xff\xff\xff\xff\xff\xff\xff'],
  ])('nested as deep as it goes: %s', (_, text) => {
    read(Uint8Array.from(text, letter => letter.charCodeAt(0)))
  })

  it('cannot reach the prototype of objects', () => {
    read(
      new TextEncoder().encode(
        '[{"__proto__":{"polluted":1},"n":"__proto__","v":1},{"n":"constructor","v":2}]',
      ),
    )
    expect(({} as Record<string, unknown>)['polluted']).toBeUndefined()
  })
})
