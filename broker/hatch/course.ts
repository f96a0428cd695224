import { bandOf, distinct } from './band.ts'
import type { Band, ForecastInput } from './contract.ts'
import { developedBy } from './development/ways.ts'
import { outlookOf } from './forecast.ts'
import { Z90 } from './normal.ts'
import { WORTH } from './population/age.ts'
import { hatchedOf } from './population/population.ts'
import { weighedByAge } from './population/stages.ts'

/** Columns of a band: the 10th, 50th and 90th percentile at each moment. */
export interface BandColumns {
  readonly p10: readonly number[]
  readonly p50: readonly number[]
  readonly p90: readonly number[]
}

/** How a batch went and will go, for drawing: one entry a moment in every column. */
export interface HatchCourse {
  /** Unix ms, rising. */
  readonly t: readonly number[]
  /** Share of the final number that has hatched, 0 to 1. */
  readonly hatched: BandColumns
  /** Usable food for the goal, as a share of what all nauplii would be worth newly hatched, 0 to 1. */
  readonly usable: BandColumns
  /** What the water is expected to be, °C; `null` before now: there it was measured. */
  readonly water: {
    readonly p10: readonly (number | null)[]
    readonly p50: readonly (number | null)[]
    readonly p90: readonly (number | null)[]
  }
}

export interface CourseSpan {
  readonly fromMs: number
  readonly toMs: number
  /** How many moments, both ends among them; 2 to {@link MOST_POINTS}. */
  readonly points: number
}

/** More moments than a screen has pixels to spare for them. */
export const MOST_POINTS = 1000
/**
 * Of the food every third case of the lot tells enough for drawing, and every second way of the water. What is out is drawn over all cases:
 * at now it is told in words too, and the two are one.
 */
const EVERY_CASE = 3
const EVERY_WAY = 2

/** The hatch over a span of time, what is past and what is to come, by the same doubts as the forecast. */
export function hatchCourse(input: ForecastInput, { fromMs, toMs, points }: CourseSpan): HatchCourse {
  if (!(toMs > fromMs)) {
    throw new RangeError(`Cannot draw the hatch: it must end after it begins, got ${fromMs} to ${toMs}`)
  }
  if (!(Number.isInteger(points) && points >= 2 && points <= MOST_POINTS)) {
    throw new RangeError(`Cannot draw the hatch: points must be 2 to ${MOST_POINTS}, got ${points}`)
  }
  const { needs, ways: all } = outlookOf(input, toMs)
  const ways = all.filter((_, at) => at % EVERY_WAY === 0)
  const some = needs.embryos.filter((_, at) => at % EVERY_CASE === 0)
  const hatched = new Columns()
  const usable = new Columns()
  const water = new Columns<number | null>()
  const t = Array.from({ length: points }, (_, at) =>
    Math.round(fromMs + ((toMs - fromMs) * at) / (points - 1)),
  )
  for (const atMs of t) {
    const reached = distinct(ways.map(way => developedBy(way, atMs)))
    hatched.add(bandOf(needs.embryos.flatMap(one => reached.map(degH => hatchedOf(one, degH)))))
    usable.add(bandOf(some.flatMap(one => reached.map(degH => weighedByAge(one, WORTH[input.goal], degH)))))
    water.add(atMs < input.nowMs ? NOTHING : waterBand(input, atMs))
  }
  return { t, hatched, usable, water }
}

const NOTHING = { p10: null, p50: null, p90: null }

function waterBand({ expected }: ForecastInput, atMs: number): Band {
  const { levelC, spreadC } = expected.at(atMs)
  return { p10: levelC - Z90 * spreadC, p50: levelC, p90: levelC + Z90 * spreadC }
}

class Columns<T = number> {
  readonly p10: T[] = []
  readonly p50: T[] = []
  readonly p90: T[] = []
  add(band: { readonly p10: T; readonly p50: T; readonly p90: T }): void {
    this.p10.push(band.p10)
    this.p50.push(band.p50)
    this.p90.push(band.p90)
  }
}
