import type { Chosen } from './choice.ts'
import type { Servable, Way } from './ways.ts'

/** A serving of a running batch that the plan has chosen: so many live to be fed. */
interface Need {
  readonly demandAt: number
  readonly alive: number
  readonly tight: boolean
}

/**
 * The same plan, but every batch, running or planned, is taken off as near to its best moment as serves the same feedings: what is held cold ages no
 * more, and what no feeding needs has no reason to wait. The room calls for it then, and so the plan says the same. What one batch can no
 * longer serve then, because it keeps only so long, another one that has more than is needed of it serves. Nothing is started, fed
 * or lacking otherwise, and no vessel is free later.
 */
export function atItsBest(
  chosen: readonly Chosen[],
  ways: readonly Way[],
  gramStep: number,
): readonly Chosen[] {
  let now = [...chosen]
  // Those that would wait longest first: what they leave to others is asked of the others as they stand.
  for (const before of chosen.filter(isBatch)) {
    const sooner = ways
      .filter(way => isSooner(way, before.way))
      .sort((a, b) => a.firstMs - b.firstMs || b.servings.length - a.servings.length)
    for (const way of sooner) {
      const moved = sharedAnew(
        now,
        now.findIndex(one => one.way === before.way),
        way,
        gramStep,
      )
      if (!moved) continue
      now = moved
      break
    }
  }
  return now
}

const isRunning = ({ way }: Chosen): boolean => way.source.kind === 'running'
const isBatch = ({ way }: Chosen): boolean => way.source.kind !== 'held'
const isSame = (a: Way['source'], b: Way['source']): boolean =>
  (a.kind === 'running' && b.kind === 'running' && a.batch.id === b.batch.id) ||
  (a.kind === 'planned' && b.kind === 'planned' && a.outlook === b.outlook && a.startMs === b.startMs)

const isSooner = (way: Way, before: Way): boolean =>
  isSame(way.source, before.source) &&
  way.kindAt === before.kindAt &&
  way.firstMs < before.firstMs &&
  way.freeMs <= before.freeMs &&
  Number(way.nightHarvest) <= Number(before.nightHarvest)

interface Open extends Chosen {
  readonly amounts: number[]
}

/** With one batch taken off another way: it serves what it can of its own, others the rest; `null` where some of it would be served less well. */
function sharedAnew(chosen: readonly Chosen[], at: number, way: Way, gramStep: number): Chosen[] | null {
  const before = chosen[at]
  if (!before) return null
  const mine: Open = { ...before, way, amounts: way.servings.map(() => 0) }
  const after: Open[] = chosen.map((one, i) => (i === at ? mine : { ...one, amounts: [...one.amounts] }))
  for (const need of needsOf(before)) {
    let open = need.alive
    // Its own first, so that as little as can be is fed otherwise than it was.
    for (const one of [mine, ...after.filter(other => other !== mine && isRunning(other))]) {
      if (open <= 0) break
      const i = one.way.servings.findIndex(({ demandAt }) => demandAt === need.demandAt)
      const serving = one.way.servings[i]
      if (!serving || !servesAsWell(serving, need)) continue
      const taken = Math.min(open / serving.alive, left(one, gramStep))
      one.amounts[i] = (one.amounts[i] ?? 0) + taken
      open -= taken * serving.alive
    }
    if (open > need.alive * ROUNDING) return null
  }
  return after
}

/** Sums of shares are right to so much. */
const ROUNDING = 1e-9

const servesAsWell = (serving: Servable, need: Need): boolean =>
  serving.alive > 0 && (!serving.tight || need.tight)

const needsOf = ({ way, amounts }: Chosen): Need[] =>
  way.servings.flatMap(({ demandAt, alive, tight }, i) => {
    const taken = (amounts[i] ?? 0) * alive
    return taken > 0 ? [{ demandAt, alive: taken, tight }] : []
  })

/** What no feeding takes yet. */
function left({ way: { source, out = 1 }, steps, amounts }: Chosen, gramStep: number): number {
  if (source.kind === 'held') return 0
  const used = amounts.reduce((all, amount) => all + amount, 0)
  const there =
    source.kind === 'running' ? source.batch.nauplii * out : steps * gramStep * source.outlook.naupliiPerG
  return Math.max(0, there - used)
}
