import { bandOf } from '../hatch/band.ts'
import type { HarvestGoal } from '../hatch/contract.ts'
import { CauseKind, type Cost } from './contract.ts'
import type { Kept } from './model/kept.ts'
import { type Outcome, play } from './model/run.ts'
import { type Climate, climateOf, setUpShare, type Situation } from './model/situation.ts'
import type { Believed } from './model/weigh.ts'
import { shapleyOf } from './shapley.ts'

/** What one coalition of causes leaves, for one way that everything may be. */
interface Left {
  readonly hatch: number
  readonly food: number
  readonly t90H: number
}

export interface Costs {
  /** Of each cause, in the order that they were asked for. */
  readonly causes: readonly {
    readonly cost: Cost
    /** For each way that everything may be. */
    readonly foodPoints: Float64Array
    readonly laterH: Float64Array
  }[]
  /** Hatch percentage without any of them, and with all, for each way. */
  readonly without: Float64Array
  readonly all: Float64Array
}

/** Causes that change only the share that can hatch: they need no new run. */
const BY_SHARE: ReadonlySet<CauseKind> = new Set([CauseKind.dark, CauseKind.phOff, CauseKind.weakLot])

/**
 * What each of several causes took: the model played with and without every set of them, shared out by Shapley values, for each of
 * many ways that the lot and all unknown effects may be.
 *
 * @param sound share that hatches of a lot that is not weak; where the lot is not among the causes it is taken as it is
 */
export function costsOf(
  kept: Kept,
  causes: readonly CauseKind[],
  believed: readonly Believed[],
  sound: number,
  goal: HarvestGoal,
): Costs {
  const sets = 1 << causes.length
  const situations: { situation: Situation; climate: Climate; run: number }[] = []
  const runs = new Map<number, number>()
  for (let set = 0; set < sets; set++) {
    const present = new Set(causes.filter((_, at) => set & (1 << at)))
    const situation = kept.with(present)
    const moving = causes.reduce(
      (bits, kind, at) => (BY_SHARE.has(kind) ? bits : bits | (set & (1 << at))),
      0,
    )
    const run = runs.get(moving) ?? runs.size
    runs.set(moving, run)
    situations.push({ situation, climate: situations[run]?.climate ?? climateOf(situation), run })
  }
  const weak = causes.indexOf(CauseKind.weakLot)
  const columns = causes.map(() => ({
    hatch: new Float64Array(believed.length),
    food: new Float64Array(believed.length),
    later: new Float64Array(believed.length),
  }))
  const without = new Float64Array(believed.length)
  const all = new Float64Array(believed.length)
  believed.forEach(({ draw, hatchShare }, way) => {
    const played: Outcome[] = []
    const left = situations.map(({ situation, climate, run }, set): Left => {
      const outcome = (played[run] ??= play(situation, climate, draw, goal, [], hatchShare))
      const isWeak = weak < 0 || (set & (1 << weak)) !== 0
      const share = 100 * (isWeak ? hatchShare : Math.max(sound, hatchShare)) * setUpShare(situation, draw)
      return {
        hatch: share * outcome.harvest.nauplii,
        food: share * outcome.harvest.food,
        t90H: outcome.t90H,
      }
    })
    const lost = (part: (one: Left) => number) => shapleyOf(causes.length, left.map(part))
    const hatch = lost(one => -one.hatch)
    const food = lost(one => -one.food)
    const later = lost(one => one.t90H)
    columns.forEach((column, at) => {
      column.hatch[way] = hatch[at] ?? 0
      column.food[way] = food[at] ?? 0
      column.later[way] = later[at] ?? 0
    })
    without[way] = left[0]?.hatch ?? 0
    all[way] = left.at(-1)?.hatch ?? 0
  })
  return {
    causes: columns.map(({ hatch, food, later }) => ({
      cost: { hatchPoints: bandOf(hatch), foodPoints: bandOf(food), laterH: bandOf(later) },
      foodPoints: food,
      laterH: later,
    })),
    without,
    all,
  }
}
