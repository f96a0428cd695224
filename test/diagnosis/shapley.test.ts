import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { MOST_PLAYERS, shapleyValues } from '../../broker/diagnosis/shapley.ts'

/** Any game of up to six players: a worth for each coalition, none for nobody. */
const games = fc.integer({ min: 1, max: 6 }).chain(players =>
  fc
    .array(fc.double({ min: -100, max: 100, noNaN: true }), {
      minLength: 2 ** players,
      maxLength: 2 ** players,
    })
    .map(worths => ({ players, worths: [0, ...worths.slice(1)] })),
)
const of = ({ players, worths }: { players: number; worths: readonly number[] }) =>
  shapleyValues(players, coalition => worths[coalition]!)

describe('shapleyValues', () => {
  it('adds up to what all together bring (efficiency)', () => {
    fc.assert(
      fc.property(games, game => {
        const sum = of(game).reduce((a, b) => a + b, 0)
        expect(sum).toBeCloseTo(game.worths.at(-1)!, 8)
      }),
    )
  })

  it('gives nothing to a player who brings nothing (null player)', () => {
    fc.assert(
      fc.property(games, game => {
        // One more player, whose presence changes no worth.
        const worths = [...game.worths, ...game.worths]
        const values = of({ players: game.players + 1, worths })
        expect(values.at(-1)).toBeCloseTo(0, 9)
        values.slice(0, -1).forEach((value, at) => expect(value).toBeCloseTo(of(game)[at]!, 8))
      }),
    )
  })

  it('gives the same to players who bring the same (symmetry)', () => {
    fc.assert(
      fc.property(games, fc.nat(), fc.nat(), (game, a, b) => {
        const [i, j] = [a % game.players, b % game.players]
        const swapped = (coalition: number) => {
          const [hasI, hasJ] = [(coalition >> i) & 1, (coalition >> j) & 1]
          return hasI === hasJ ? coalition : coalition ^ (1 << i) ^ (1 << j)
        }
        // Made symmetric in the two.
        const worth = (coalition: number) => game.worths[coalition]! + game.worths[swapped(coalition)]!
        const values = shapleyValues(game.players, worth)
        expect(values[i]).toBeCloseTo(values[j]!, 8)
      }),
    )
  })

  it('shares out two games together as it shares out each (additivity)', () => {
    fc.assert(
      fc.property(games, fc.infiniteStream(fc.double({ min: -50, max: 50, noNaN: true })), (game, more) => {
        const other = [0, ...[...more.take(2 ** game.players - 1)]]
        const both = shapleyValues(game.players, c => game.worths[c]! + other[c]!)
        const apart = of({ players: game.players, worths: other })
        both.forEach((value, at) => expect(value).toBeCloseTo(of(game)[at]! + apart[at]!, 7))
      }),
    )
  })

  it('is the mean over all orders of joining', () => {
    fc.assert(
      fc.property(games, game => {
        const orders = permutations(Array.from({ length: game.players }, (_, at) => at))
        const sums = new Array<number>(game.players).fill(0)
        for (const order of orders) {
          let coalition = 0
          for (const player of order) {
            const joined = coalition | (1 << player)
            sums[player]! += game.worths[joined]! - game.worths[coalition]!
            coalition = joined
          }
        }
        of(game).forEach((value, at) => expect(value).toBeCloseTo(sums[at]! / orders.length, 8))
      }),
      { numRuns: 30 },
    )
  })

  it('shares nothing among nobody', () => {
    expect(shapleyValues(0, () => 5)).toEqual([])
  })

  for (const bad of [-1, 1.5, NaN, MOST_PLAYERS + 1])
    it(`refuses ${bad} players`, () => {
      expect(() => shapleyValues(bad, () => 0)).toThrow(`got ${bad}`)
    })
})

function permutations(of: readonly number[]): number[][] {
  if (of.length <= 1) return [[...of]]
  return of.flatMap((first, at) =>
    permutations([...of.slice(0, at), ...of.slice(at + 1)]).map(rest => [first, ...rest]),
  )
}
