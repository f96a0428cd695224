import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  decodePack,
  encodePack,
  MAX_PAYLOAD_BYTES,
  MAX_RECORDS,
  PackError,
} from '../../firmware-protocol/pack.ts'
import type { PackToEncode } from '../../firmware-protocol/pack.ts'

// Minus zero is written as 0 in JSON.
const finite = fc.double({ noNaN: true, noDefaultInfinity: true }).map(value => value + 0)
const name = fc
  .stringMatching(/^[A-Za-z0-9][A-Za-z0-9\-:./_]{0,20}$/)
  .filter(text => !['boot', 'seq', 'uptime'].includes(text))
const measurement = fc.record({
  name,
  unit: fc.option(fc.string({ maxLength: 8 })),
  value: fc.oneof(finite, fc.boolean(), fc.string({ maxLength: 20 })),
  timeS: finite,
})
const pack = fc.record({
  boot: fc.option(fc.string({ minLength: 1, maxLength: 16 })),
  seq: fc.option(fc.nat()),
  uptimeS: fc.option(fc.double({ min: 0, max: 1e9, noNaN: true }).map(value => value + 0)),
  measurements: fc.array(measurement, { maxLength: 20 }),
})

describe('a pack', () => {
  it.each(['json', 'cbor'] as const)('is read back as it was written, %s', encoding => {
    fc.assert(
      fc.property(pack, written => {
        expect(decodePack(encodePack(written, encoding))).toEqual({ ...written, rejected: [] })
      }),
      { numRuns: 500 },
    )
  })

  it('throws nothing but PackError on any bytes', () => {
    const start = fc.constantFrom(0x5b, 0x20, 0x80, 0x81, 0x83, 0x9f, 0xd9, 0x00, 0xff)
    fc.assert(
      fc.property(start, fc.uint8Array({ maxLength: 200 }), (first, rest) => {
        expectPackOrPackError(Uint8Array.of(first, ...rest))
      }),
      { numRuns: 5000 },
    )
  })

  it('throws nothing but PackError on a good pack with a few bytes changed', () => {
    const change = fc.tuple(fc.nat(), fc.nat(255))
    const changes = fc.array(change, { minLength: 1, maxLength: 4 })
    fc.assert(
      fc.property(pack, fc.constantFrom('json', 'cbor'), changes, (written, encoding, list) => {
        const bytes = Uint8Array.from(encodePack(written, encoding))
        for (const [at, byte] of list) if (bytes.length > 0) bytes[at % bytes.length] = byte
        expectPackOrPackError(bytes)
      }),
      { numRuns: 2000 },
    )
  })

  it('throws PackError for arrays nested as deep as the payload allows', () => {
    for (const byte of [0x5b, 0x81, 0x9f]) {
      expect(() => decodePack(new Uint8Array(MAX_PAYLOAD_BYTES).fill(byte))).toThrow(PackError)
    }
  })

  it('keeps its limits', () => {
    const records = (count: number) => `[${Array(count).fill('{"n":"a","v":1}').join(',')}]`
    expect(decodePack(Buffer.from(records(4000))).measurements).toHaveLength(4000)
    expect(() =>
      decodePack(
        Buffer.from(
          `[${Array(MAX_RECORDS + 1)
            .fill('1')
            .join(',')}]`,
        ),
      ),
    ).toThrow(/4096 records at most, got 4097/)
    expect(() => decodePack(new Uint8Array(MAX_PAYLOAD_BYTES + 1))).toThrow(/65536 bytes at most/)
  })

  it('sets aside what is wrong about itself and keeps the readings', () => {
    const read = decodePack(
      Buffer.from(
        '[{"n":"boot","v":1},{"n":"seq","v":-1},{"n":"seq","v":1.5},{"n":"uptime","v":-1},' +
          '{"n":"boot","vs":"b"},{"n":"boot","vs":"c"},{"n":"seq","v":9007199254740992},' +
          '{"n":"pic","vd":"aGkgCg"},{"n":"total","s":4},{"n":"water","v":27}]',
      ),
    )
    expect(read).toMatchObject({ boot: 'b', seq: null, uptimeS: null })
    expect(read.measurements).toEqual([{ name: 'water', unit: null, value: 27, timeS: 0 }])
    expect(read.rejected).toHaveLength(8)
  })

  it.each([NaN, Infinity, -Infinity])('is not written with %s in it', bad => {
    const base: PackToEncode = { boot: 'b', seq: 1, measurements: [] }
    const water = { name: 'water', unit: 'Cel', value: 1, timeS: 0 }
    for (const wrong of [
      { ...base, seq: bad },
      { ...base, uptimeS: bad },
      { ...base, measurements: [{ ...water, value: bad }] },
      { ...base, measurements: [{ ...water, timeS: bad }] },
    ]) {
      expect(() => encodePack(wrong, 'json')).toThrow(PackError)
      expect(() => encodePack(wrong, 'cbor')).toThrow(PackError)
    }
  })

  it('is not written beyond its limits', () => {
    const water = { name: 'water', unit: 'Cel', value: 1, timeS: 0 }
    const many = { boot: 'b', seq: 1, measurements: Array<typeof water>(MAX_RECORDS - 1).fill(water) }
    expect(() => encodePack(many, 'cbor')).toThrow(/4096 records/)
  })
})

function expectPackOrPackError(bytes: Uint8Array): void {
  try {
    const read = decodePack(bytes)
    for (const { value, timeS } of read.measurements) {
      expect(Number.isFinite(timeS)).toBe(true)
      if (typeof value === 'number') expect(Number.isFinite(value)).toBe(true)
    }
  } catch (error) {
    expect(error).toBeInstanceOf(PackError)
  }
}
