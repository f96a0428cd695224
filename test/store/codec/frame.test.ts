import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { ByteWriter } from '../../../broker/store/codec/bytes.ts'
import { beginPack, endPack, type FramedPack, readFrame } from '../../../broker/store/codec/frame.ts'

const whole = fc.integer({ min: 0, max: Number.MAX_SAFE_INTEGER })
const number = fc.integer({ min: 1, max: 2 ** 32 - 1 })
const framed = fc
  .record({
    speaker: number,
    numbered: fc.option(fc.record({ boot: number, seq: whole })),
    receivedMs: whole,
    readings: fc.uint8Array({ maxLength: 2000 }),
  })
  .map(({ numbered, ...rest }) => ({ ...rest, boot: numbered?.boot ?? null, seq: numbered?.seq ?? null }))

function frameOf(packs: readonly FramedPack[]): Uint8Array {
  const out = new ByteWriter()
  for (const { speaker, boot, seq, receivedMs, readings } of packs) {
    const start = beginPack(out, speaker, boot, seq, receivedMs)
    out.bytes(readings)
    endPack(out, start)
  }
  return out.view().slice()
}

describe('a frame of packs', () => {
  it('gives back each pack as it was put in, all or those of one device', () => {
    fc.assert(
      fc.property(fc.array(framed, { maxLength: 12 }), packs => {
        const bytes = frameOf(packs)
        expect([...readFrame(bytes)]).toEqual(packs)
        const [first] = packs
        if (first === undefined) return
        const own = packs.filter(({ speaker }) => speaker === first.speaker)
        expect([...readFrame(bytes, first.speaker)]).toEqual(own)
      }),
    )
  })

  it('that ends too early is refused', () => {
    const bytes = frameOf([{ speaker: 1, boot: 2, seq: 3, receivedMs: 4, readings: new Uint8Array(9) }])
    for (let length = 1; length < bytes.length; length++) {
      expect(() => [...readFrame(bytes.subarray(0, length))]).toThrow(RangeError)
    }
  })
})
