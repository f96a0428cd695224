import { bandOf } from '../hatch/band.ts'
import type { HarvestGoal } from '../hatch/contract.ts'
import { CauseKind, type Cost } from './contract.ts'
import type { Kept } from './model/kept.ts'
import { type Course, play } from './model/run.ts'
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
  /** Usable hatch without any of them, per cent. */
  readonly foodWithout: Float64Array
}

export interface Harvest {
  readonly cells: readonly number[]
  readonly looked: boolean
}

/** Causes that change only the share that can hatch, or when it is drawn off: they need no new run. */
const BY_SHARE: ReadonlySet<CauseKind> = new Set([
  CauseKind.dark,
  CauseKind.phOff,
  CauseKind.weakLot,
  CauseKind.harvestedEarly,
  CauseKind.harvestedLate,
])

/**
 * What each of several causes took: the model played with and without every set of them, shared out by Shapley values, for each of
 * many ways that the lot and all unknown effects may be.
 *
 * How the keeper went about the harvest is taken from when it was. Between the best moment with all causes and that without any, it lies at some
 * share of the way: 0 for one who goes by the clock, 1 for one who looks. That share is kept in every set. Only what lies outside of
 * both is the harvest's own fault. Whoever wrote down the first swimmers has looked, and knew how late it was.
 *
 * @param harvest when it was drawn off, for each way, and whether its keeper had looked before
 * @param sound share that hatches of a lot that is not weak, for each way; where the lot is not among the causes it is taken as it is
 */
export function costsOf(
  kept: Kept,
  causes: readonly CauseKind[],
  believed: readonly Believed[],
  { cells: harvestCells, looked }: Harvest,
  sound: readonly number[],
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
  const harvest = causes.reduce(
    (bits, kind, at) =>
      kind === CauseKind.harvestedEarly || kind === CauseKind.harvestedLate ? bits | (1 << at) : bits,
    0,
  )
  const columns = causes.map(() => ({
    hatch: new Float64Array(believed.length),
    food: new Float64Array(believed.length),
    later: new Float64Array(believed.length),
  }))
  const without = new Float64Array(believed.length)
  const all = new Float64Array(believed.length)
  const foodWithout = new Float64Array(believed.length)
  believed.forEach(({ draw, hatchShare }, way) => {
    const played: Course[] = []
    const playedIn = (set: number): Course => {
      const { situation, climate, run } = situations[set] ?? fail()
      return (played[run] ??= play(situation, climate, draw, goal, hatchShare))
    }
    const none = playedIn(0)
    const habit = habitOf(none.bestCell, playedIn(sets - 1).bestCell, harvestCells[way] ?? 0, looked)
    const left = situations.map(({ situation }, set): Left => {
      const course = playedIn(set)
      const usual = none.bestCell + habit.follows * (course.bestCell - none.bestCell)
      const drawnOff = usual + (set & harvest ? habit.offCells : 0)
      const { nauplii, food } = course.sharesAt(drawnOff)
      const isWeak = weak < 0 || (set & (1 << weak)) !== 0
      const share =
        100 * (isWeak ? hatchShare : Math.max(sound[way] ?? 0, hatchShare)) * setUpShare(situation, draw)
      return {
        hatch: share * nauplii,
        food: share * food,
        t90H: course.t90H,
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
    foodWithout[way] = left[0]?.food ?? 0
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
    foodWithout,
  }
}

/** The best moments differ by less than this, and there is nothing to be seen of a habit, cells. */
const NO_HABIT_CELLS = 6

/** How a keeper goes about it: how far after what is seen, and how far off that. */
function habitOf(plannedCell: number, bestCell: number, harvestCell: number, looked: boolean) {
  const apart = bestCell - plannedCell
  if (looked || Math.abs(apart) < NO_HABIT_CELLS) return { follows: 1, offCells: harvestCell - bestCell }
  const share = (harvestCell - plannedCell) / apart
  const follows = Math.min(Math.max(share, 0), 1)
  return { follows, offCells: (share - follows) * apart }
}

function fail(): never {
  throw new RangeError('Cannot cost causes: there is no such set of them')
}
