/** More players than this are not shared out exactly: 2^n coalitions. */
export const MOST_PLAYERS = 10

/**
 * Shapley values (Shapley 1953, A value for n-person games): each player's contribution, averaged over all orders in which players may
 * join. `worth` is what a coalition brings, asked once for each; bit i of it stands for player i.
 *
 * They add up to what all together bring beyond none; players that bring the same get the same; who brings nothing gets nothing.
 *
 * @throws RangeError for more than {@link MOST_PLAYERS} players
 */
export function shapleyValues(players: number, worth: (coalition: number) => number): number[] {
  const worths = coalitionWorths(players, worth)
  return shapleyOf(players, worths)
}

/** The same where every coalition's worth is known already, by its bits. */
export function shapleyOf(players: number, worths: ArrayLike<number>): number[] {
  check(players)
  const weights = joiningWeights(players)
  return Array.from({ length: players }, (_, player) => {
    const own = 1 << player
    let value = 0
    for (let coalition = 0; coalition < 1 << players; coalition++) {
      if (coalition & own) continue
      const joins = (worths[coalition | own] ?? 0) - (worths[coalition] ?? 0)
      value += (weights[bits(coalition)] ?? 0) * joins
    }
    return value
  })
}

function coalitionWorths(players: number, worth: (coalition: number) => number): Float64Array {
  check(players)
  return Float64Array.from({ length: 1 << players }, (_, coalition) => worth(coalition))
}

/** How likely it is that just these have joined before a player does: s! (n - s - 1)! / n! for s of them. */
function joiningWeights(players: number): number[] {
  const weights: number[] = []
  for (let before = 0; before < players; before++) {
    // 1 / (n · C(n - 1, s)), in steps that never overflow.
    let ways = 1
    for (let at = 0; at < before; at++) ways = (ways * (players - 1 - at)) / (at + 1)
    weights.push(1 / (players * ways))
  }
  return weights
}

function bits(coalition: number): number {
  let count = 0
  for (let left = coalition; left > 0; left &= left - 1) count++
  return count
}

function check(players: number): void {
  if (Number.isInteger(players) && players >= 0 && players <= MOST_PLAYERS) return
  throw new RangeError(
    `Cannot share out a cost: the players must be a whole number from 0 to ${MOST_PLAYERS}, got ${players}`,
  )
}
