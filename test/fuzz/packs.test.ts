import { encode } from 'cborg'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { decodePack, PackError } from '../../firmware-protocol/pack.ts'
import { seeded, share } from './inputs.ts'

/** Records that are SenML in all but one thing or another. */
const record = fc.record(
  {
    n: fc.oneof(
      fc.constantFrom('water', 'air', 'light', 'seq', 'boot', 'uptime', '1/water', '__proto__'),
      fc.string(),
    ),
    bn: fc.oneof(fc.constantFrom('', 'x/', 'constructor'), fc.integer()),
    bt: fc.oneof(fc.double(), fc.integer()),
    bu: fc.constantFrom('Cel', 'lx', ''),
    bv: fc.double(),
    u: fc.oneof(fc.constantFrom('Cel', 'l/min', 'lx', 'K', 'degF'), fc.integer()),
    v: fc.oneof(fc.double(), fc.integer(), fc.constantFrom<unknown>('27', null, 1e308, -1e308)),
    vs: fc.oneof(fc.string(), fc.integer()),
    vb: fc.oneof(fc.boolean(), fc.integer()),
    t: fc.oneof(fc.double(), fc.constantFrom<unknown>(-1e300, 1e300, 'now')),
    bver: fc.constantFrom<unknown>(10, 11, -1, 'x'),
  },
  { requiredKeys: [] },
)
const records = fc.array(record, { maxLength: 8 })
const damaged = (whole: fc.Arbitrary<Uint8Array>): fc.Arbitrary<Uint8Array> =>
  fc
    .tuple(
      whole,
      fc.array(fc.tuple(fc.nat(), fc.integer({ min: 0, max: 255 })), { maxLength: 5 }),
      fc.nat({ max: 9 }),
    )
    .map(([bytes, places, cut]) => {
      const changed = Uint8Array.from(bytes)
      for (const [place, value] of places) if (changed.length > 0) changed[place % changed.length] = value
      return cut === 0 ? changed.subarray(0, changed.length >> 1) : changed
    })

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
    const json = records.map(each => new TextEncoder().encode(JSON.stringify(each)))
    fc.assert(fc.property(damaged(json), read), options())
  })

  it('as SenML CBOR that was damaged', () => {
    // RFC 8428 section 6: labels are small integers.
    const labels: Record<string, number> = {
      bver: -1,
      bn: -2,
      bt: -3,
      bu: -4,
      bv: -5,
      n: 0,
      u: 1,
      v: 2,
      vs: 3,
      vb: 4,
      t: 6,
    }
    const cbor = records.map(each =>
      encode(
        each.map(one => new Map(Object.entries(one).map(([key, value]) => [labels[key] ?? key, value]))),
      ),
    )
    fc.assert(fc.property(damaged(cbor), read), options())
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
