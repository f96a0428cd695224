import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { inTheirOrder } from '../../broker/crew/judging-loop.ts'
import { pack } from '../store/examples.ts'

const at = (id: number, seq: number | null, device = 'a') => ({
  pack: pack(seq ?? 0, { device, seq, boot: seq === null ? null : 'b' }),
  position: { tx: '7', id },
})

describe('packs that came by several sessions', () => {
  it('are judged by their numbers, each device in its own places', () => {
    const came = [at(1, 5), at(2, 9, 'other'), at(3, 4), at(4, null), at(5, 6)]
    const judged = inTheirOrder(came)
    expect(judged.map(({ pack: { device, seq } }) => `${device}${seq}`)).toEqual([
      'a4',
      'other9',
      'a5',
      'anull',
      'a6',
    ])
    expect(judged.map(({ position }) => position.id)).toEqual([1, 2, 3, 4, 5])
  })

  it('are all there, with rising numbers for each device, and the last position is the last', () => {
    const arrival = fc.record({ seq: fc.option(fc.nat(50)), device: fc.constantFrom('a', 'b', 'c') })
    fc.assert(
      fc.property(fc.array(arrival, { maxLength: 60 }), list => {
        const came = list.map(({ seq, device }, id) => at(id, seq, device))
        const judged = inTheirOrder(came)
        expect(new Set(judged.map(each => each.pack))).toEqual(new Set(came.map(each => each.pack)))
        expect(judged.map(({ position }) => position)).toEqual(came.map(({ position }) => position))
        for (const name of ['a', 'b', 'c']) {
          const numbers = judged.flatMap(({ pack: { device, seq } }) =>
            device === name && seq !== null ? [seq] : [],
          )
          expect(numbers).toEqual([...numbers].sort((x, y) => x - y))
        }
      }),
    )
  })
})
