import { describe, expect, it } from 'vitest'
import { shapleyValues } from '../../broker/diagnosis/shapley.ts'

const has = (coalition: number, player: number) => ((coalition >> player) & 1) === 1

describe('Shapley values against published games', () => {
  it('shares out the costs of a runway as in closed form', () => {
    // Littlechild & Owen 1973, A simple expression for the Shapley value in a special case, Management Science 20:370: where a
    // coalition costs what its largest member asks for, each pays an equal part of every stretch that it needs:
    // x_i = sum over k <= i of (C_k - C_(k-1)) / r_k, with r_k movements of kind k or larger. The theorem is the source; these costs
    // are an own example.
    const costs = [8, 11, 13, 18]
    const worth = (coalition: number) =>
      costs.reduce((most, cost, player) => (has(coalition, player) ? Math.max(most, cost) : most), 0)
    const closed = costs.map((_, i) =>
      costs
        .slice(0, i + 1)
        .reduce((sum, cost, k) => sum + (cost - (costs[k - 1] ?? 0)) / (costs.length - k), 0),
    )
    shapleyValues(4, worth).forEach((value, at) => expect(value).toBeCloseTo(closed[at]!, 12))
    expect(closed).toEqual([2, 3, 4, 9])
  })

  it('gives the owner of the only right glove two thirds', () => {
    // The glove market, from memory after Shapley & Shubik 1969, On market games, Journal of Economic Theory 1:9: two left gloves,
    // one right, a pair is worth 1.
    const worth = (coalition: number) =>
      has(coalition, 2) && (has(coalition, 0) || has(coalition, 1)) ? 1 : 0
    const [left, other, right] = shapleyValues(3, worth)
    expect(left).toBeCloseTo(1 / 6, 12)
    expect(other).toBeCloseTo(1 / 6, 12)
    expect(right).toBeCloseTo(2 / 3, 12)
  })

  it('gives a veto to whoever must be in', () => {
    // From the definition (Shapley 1953): player 0 and any one of the others are worth 1. It brings nothing only when it joins first, so it
    // gets (n - 1) / n, and the others share the rest alike.
    for (const n of [2, 3, 5, 8]) {
      const worth = (coalition: number) => (has(coalition, 0) && coalition > 1 ? 1 : 0)
      const values = shapleyValues(n, worth)
      expect(values[0]).toBeCloseTo((n - 1) / n, 12)
      expect(values[1]).toBeCloseTo(1 / (n * (n - 1)), 12)
    }
  })
})
