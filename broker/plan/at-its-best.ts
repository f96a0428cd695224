import type { Chosen } from './choice.ts'
import type { Way } from './ways.ts'

/**
 * The same plan, but every running batch is taken off as near to its best moment as serves the same feedings: what is held cold ages no
 * more, and what no feeding needs has no reason to wait. The room calls for it then, and so the plan says the same. Nothing is started, fed
 * or lacking otherwise, and no vessel is free later.
 */
export function atItsBest(chosen: readonly Chosen[], ways: readonly Way[]): readonly Chosen[] {
  return chosen.map(one => {
    const { source } = one.way
    if (source.kind !== 'running') return one
    const sooner = ways
      .filter(
        way =>
          way.source.kind === 'running' &&
          way.source.batch.id === source.batch.id &&
          way.firstMs < one.way.firstMs &&
          way.freeMs <= one.way.freeMs &&
          Number(way.nightHarvest) <= Number(one.way.nightHarvest),
      )
      .sort((a, b) => a.firstMs - b.firstMs)
    for (const way of sooner) {
      const amounts = servedBy(way, one)
      if (amounts && sum(amounts) <= source.batch.nauplii) return { ...one, way, amounts }
    }
    return one
  })
}

/** What is taken for each of another way's servings so that as many live to be fed; `null` where one of them would not be served as well. */
function servedBy(way: Way, { way: before, amounts }: Chosen): number[] | null {
  const taken = way.servings.map(() => 0)
  for (const [i, serving] of before.servings.entries()) {
    const amount = amounts[i] ?? 0
    if (amount <= 0) continue
    const at = way.servings.findIndex(({ demandAt }) => demandAt === serving.demandAt)
    const other = way.servings[at]
    if (!other || other.alive <= 0 || (other.tight && !serving.tight)) return null
    taken[at] = (amount * serving.alive) / other.alive
  }
  return taken
}

const sum = (amounts: readonly number[]): number => amounts.reduce((all, amount) => all + amount, 0)
