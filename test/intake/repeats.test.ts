import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { Repeats, Standing } from '../../broker/intake/repeats.ts'

describe('repeats', () => {
  it('agree with a plain set of numbers, whatever comes, is kept or fails', () => {
    const boot = fc.constantFrom('a', 'b')
    const seq = fc.oneof(fc.nat(12), fc.constantFrom(0, Number.MAX_SAFE_INTEGER, Number.MAX_SAFE_INTEGER - 1))
    const act = fc.record({ boot, seq, kept: fc.boolean(), later: fc.boolean() })
    const onDisk = fc.uniqueArray(fc.nat(12))
    fc.assert(
      fc.property(fc.array(act, { maxLength: 80 }), onDisk, (acts, start) => {
        const repeats = new Repeats(() => rangesOf(start))
        const seen = new Map(['a', 'b'].map(name => [name, new Set(start)]))
        const underWay = new Map(['a', 'b'].map(name => [name, new Set<number>()]))
        const open: (() => void)[] = []
        for (const { boot, seq, kept, later } of acts) {
          const standing = repeats.enter('d', boot, seq)
          const expected = underWay.get(boot)!.has(seq)
            ? Standing.underWay
            : seen.get(boot)!.has(seq)
              ? Standing.kept
              : Standing.fresh
          expect(standing).toBe(expected)
          if (standing === Standing.fresh) {
            underWay.get(boot)!.add(seq)
            open.push(() => {
              repeats.settle('d', boot, seq, kept ? null : new Error('no'))
              underWay.get(boot)!.delete(seq)
              if (kept) seen.get(boot)!.add(seq)
            })
          }
          if (!later) for (const settle of open.splice(0).reverse()) settle()
        }
      }),
      { numRuns: 1000 },
    )
  })

  it('those who wait for a pack under way share its fate', () => {
    const repeats = new Repeats(() => [])
    const fates: (Error | null)[] = []
    const error = new Error('disk full')
    for (const fate of [error, null]) {
      expect(repeats.enter('d', 'b', 1)).toBe(Standing.fresh)
      expect(repeats.enter('d', 'b', 1)).toBe(Standing.underWay)
      repeats.wait('d', 'b', 1, got => fates.push(got))
      repeats.settle('d', 'b', 1, fate)
    }
    expect(fates).toEqual([error, null])
    expect(repeats.enter('d', 'b', 1)).toBe(Standing.kept)
  })

  it('asks the store once a power-up, and devices do not share numbers', () => {
    const asked: string[] = []
    const repeats = new Repeats((device, boot) => {
      asked.push(`${device} ${boot}`)
      return [[0, 9]]
    })
    for (const seq of [3, 4, 10]) repeats.enter('d', 'b', seq)
    expect(repeats.enter('e', 'b', 10)).toBe(Standing.fresh)
    expect(asked).toEqual(['d b', 'e b'])
  })

  it('at its limits it forgets, and what is forgotten counts as fresh or is asked for again', () => {
    let asked = 0
    const repeats = new Repeats(() => (asked++, []), { boots: 2, ranges: 3 })
    const keep = (boot: string, seq: number) => {
      const standing = repeats.enter('d', boot, seq)
      if (standing === Standing.fresh) repeats.settle('d', boot, seq, null)
      return standing
    }
    for (const seq of [0, 2, 4, 6]) keep('a', seq)
    expect(keep('a', 6)).toBe(Standing.kept)
    expect(keep('a', 2)).toBe(Standing.kept)
    expect(keep('a', 0)).toBe(Standing.fresh)
    keep('b', 0)
    keep('a', 9)
    expect(asked).toBe(2)
    keep('c', 0)
    keep('a', 9)
    expect(asked).toBe(3)
    keep('b', 0)
    expect(asked).toBe(4)
  })

  it('a power-up with packs under way is never forgotten', () => {
    const repeats = new Repeats(() => [], { boots: 1 })
    repeats.enter('d', 'a', 1)
    for (const boot of ['b', 'c', 'd']) {
      repeats.enter('d', boot, 0)
      repeats.settle('d', boot, 0, null)
    }
    expect(repeats.enter('d', 'a', 1)).toBe(Standing.underWay)
  })
})

function rangesOf(numbers: readonly number[]): [number, number][] {
  const ranges: [number, number][] = []
  for (const number of [...numbers].sort((a, b) => a - b)) {
    const last = ranges.at(-1)
    if (last && last[1] === number - 1) last[1] = number
    else ranges.push([number, number])
  }
  return ranges
}
