import { SOAK_MS } from '../../broker/hatch/stage.ts'
import type { Forecast } from '../../broker/web/api/forecast.ts'
import type { Batch } from '../../broker/web/api/batches.ts'

/** Places along the ribbon, each a share of its length (0 to 1). */
export interface RibbonPlaces {
  readonly now: number
  readonly soaked: number
  readonly t10: number
  readonly t90: number
  readonly from: number
  readonly best: number
  readonly until: number
  /** How sure the best moment is. */
  readonly early: number
  readonly late: number
  /** Whether the latest moment lies beyond the ribbon, or is not known at all. */
  readonly isOpen: boolean
}

/** The ribbon goes a little beyond the last thing on it. */
const BEYOND = 0.05
/** Doubt makes it longer than the way to the window's end by this share at most: beyond, the window would be a sliver. Own choice. */
const DOUBT_MOST = 0.5

/** Lays a batch's times along its ribbon, from its start to a little after its window and its doubt. */
export function ribbonPlaces(batch: Batch, forecast: Forecast, nowMs: number): RibbonPlaces {
  const startMs = Date.parse(batch.startedAt)
  const { harvest } = forecast
  const untilMs = Date.parse(harvest.until)
  const lateMs = Date.parse(harvest.bestBand.p90)
  const lastMs = Math.max(untilMs, nowMs, Math.min(lateMs, untilMs + (untilMs - startMs) * DOUBT_MOST))
  const length = Math.max(1, (lastMs - startMs) * (1 + BEYOND))
  const place = (at: string | number) =>
    Math.min(1, Math.max(0, ((typeof at === 'number' ? at : Date.parse(at)) - startMs) / length))
  return {
    now: place(nowMs),
    soaked: Math.min(place(startMs + SOAK_MS), place(forecast.t10.p50)),
    t10: place(forecast.t10.p50),
    t90: place(forecast.t90.p50),
    from: place(harvest.from),
    best: place(harvest.best),
    until: place(harvest.until),
    early: place(harvest.bestBand.p10),
    late: place(lateMs),
    isOpen: lateMs > lastMs,
  }
}

/** Whether the window is known well enough to be drawn firm: the doubt of its best moment is no wider than itself. */
export function isSure({ early, late, from, until }: RibbonPlaces): boolean {
  return late - early <= until - from
}

const THIN = 0.2

/**
 * How much of the ribbon's full breadth it has at a place: thin while nothing has hatched, swelling as nauplii come out,
 * narrowing again as they live on their yolk. It shows the way; the numbers are in the words beside it.
 */
export function breadth(at: number, places: Pick<RibbonPlaces, 't10' | 't90' | 'best' | 'until'>): number {
  const middle = (places.t10 + places.t90) / 2
  const steep = Math.log(81) / Math.max(0.01, places.t90 - places.t10)
  const out = 1 / (1 + Math.exp(-steep * (at - middle)))
  const past = Math.max(0, at - places.best) / Math.max(0.02, places.until - places.best)
  return THIN + (1 - THIN) * out * Math.exp(-0.25 * past ** 1.6)
}

/** The breadth that the ribbon may have at a place, wherever within its doubt the best moment falls. */
export function doubtfulBreadth(at: number, places: RibbonPlaces): number {
  const { early, best, late } = places
  if (at < early) return breadth(at - (early - best), places)
  if (at > late) return breadth(at - (late - best), places)
  return breadth(best, places)
}

/** An outline of the given breadth in a box of 1000 by `height`. */
export function ribbonPath(height: number, breadthAt: (at: number) => number): string {
  const steps = 60
  const top: string[] = []
  const bottom: string[] = []
  for (let step = 0; step <= steps; step++) {
    const at = step / steps
    const half = (breadthAt(at) * height) / 2
    top.push(`${(at * 1000).toFixed(0)} ${(height / 2 - half).toFixed(1)}`)
    bottom.push(`${(at * 1000).toFixed(0)} ${(height / 2 + half).toFixed(1)}`)
  }
  return `M${top.join('L')}L${bottom.reverse().join('L')}Z`
}
