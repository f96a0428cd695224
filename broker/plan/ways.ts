import type { Band } from '../hatch/contract.ts'
import type { ColdStorage, HeldFood, Outlook, PlanInput, RunningBatch } from './contract.ts'
import type { Demand } from './demand.ts'
import type { Grid } from './grid.ts'
import type { VesselKind } from './vessel-kinds.ts'

const HOUR_MS = 3_600_000
const MINUTE_MS = 60_000

/**
 * A new batch is planned to be ready this long before its first meal, as far as its own doubt is that large: a lot may be late.
 * Own choice.
 */
export const LATE_MARGIN_H = 2

/** One way to meet demands from one source: what can be served of it, if it is harvested then. */
export interface Way {
  readonly source:
    | { readonly kind: 'planned'; readonly outlook: Outlook; readonly startMs: number }
    | { readonly kind: 'running'; readonly batch: RunningBatch }
    | { readonly kind: 'held'; readonly held: HeldFood }
  /** Index into the vessel kinds, -1 for what is held. */
  readonly kindAt: number
  readonly fromMs: number
  /** When it is drawn from first. */
  readonly firstMs: number
  readonly harvestMs: number
  /** The vessel may be started again. */
  readonly freeMs: number
  readonly nightStart: boolean
  readonly nightHarvest: boolean
  readonly servings: readonly Servable[]
  /** Before the best moment: so much of what is out at it is out by then, at least. All when left out. */
  readonly out?: number
}

export interface Servable {
  readonly demandAt: number
  readonly ageH: number
  readonly coldH: number
  /** Share that lives to be fed. */
  readonly alive: number
  readonly tight: boolean
}

export interface WayParts {
  readonly input: PlanInput
  readonly demands: readonly Demand[]
  readonly kinds: readonly VesselKind[]
  readonly grid: Grid
  /** Also those that only help where vessels are scarce. */
  readonly thorough: boolean
}

/** Nauplii of a vessel from the moment at which they are at their best. */
interface Brood {
  readonly readyMs: number
  /** Sure enough from here on. */
  readonly sureMs: number
  readonly ageH: number
  readonly ageing: number
}

/** Every way there is, without those that another one is as good as in everything. */
export function waysOf(parts: WayParts): Way[] {
  return [...heldWays(parts), ...runningWays(parts), ...plannedWays(parts)]
}

function heldWays({ input, demands }: WayParts): Way[] {
  const { cold } = input
  if (cold === null) return []
  return input.held.map(held => ({
    source: { kind: 'held', held },
    kindAt: -1,
    fromMs: held.heldSinceMs,
    firstMs: held.heldSinceMs,
    harvestMs: held.heldSinceMs,
    freeMs: held.heldSinceMs,
    nightStart: false,
    nightHarvest: false,
    servings: demands.flatMap((demand, demandAt) => {
      const coldH = (demand.atMs - held.heldSinceMs) / HOUR_MS
      if (coldH < 0 || coldH > cold.keepsH || held.ageH > demand.limitH) return []
      // What is written down as held lives now: what is lost is what dies from now on.
      const alive = aliveAfter(cold, coldH) / aliveAfter(cold, (input.nowMs - held.heldSinceMs) / HOUR_MS)
      return [{ demandAt, ageH: held.ageH, coldH, alive, tight: false }]
    }),
  }))
}

function runningWays(parts: WayParts): Way[] {
  const { input, kinds, grid } = parts
  const nextUp = grid.awakeFrom(input.nowMs) ?? input.nowMs
  return input.running.flatMap((batch): Way[] => {
    const kindAt = kinds.findIndex(kind => kind.vessels.some(({ id }) => id === batch.vesselId))
    const turnMs = (kinds[kindAt]?.turnroundMin ?? 0) * MINUTE_MS
    const brood = broodOf(batch.ready, batch.ageH, batch.ageing)
    const readyMs = Math.max(brood.readyMs, input.nowMs)
    const upMs = grid.awakeFrom(readyMs) ?? nextUp
    // The room calls for the harvest within its window: so does the plan, as far as anybody is up in it.
    const latestMs = Math.max(batch.untilMs ?? Infinity, upMs)
    const way = (firstMs: number, harvestMs: number, servings: readonly Servable[]): Way => ({
      source: { kind: 'running', batch },
      kindAt,
      fromMs: input.nowMs,
      firstMs,
      harvestMs,
      freeMs: harvestMs + turnMs,
      nightStart: false,
      nightHarvest: !grid.awake(harvestMs),
      servings,
    })
    const within = firstsFrom(parts, readyMs).filter(atMs => atMs <= latestMs)
    const ends =
      batch.untilMs === undefined || input.cold === null ? [] : [upMs, grid.awakeBy(latestMs) ?? upMs]
    const firsts = new Set([...within, ...ends.filter(atMs => atMs >= readyMs)])
    const ways = [...firsts].flatMap(firstMs =>
      harvestsFrom(parts, brood, firstMs).map(({ harvestMs, servings }) => way(firstMs, harvestMs, servings)),
    )
    // It may also be good for nothing: then it stands in the way until it is poured away.
    return [...ways, way(upMs, upMs, [])]
  })
}

/** So much of a batch is counted on before its best moment, within its window: that costs 5 % of the food at an end, more where the lot is not known. Own choice. */
const OUT_IN_WINDOW = 0.8
/** A morning so soon after is as good as the best moment. Own choice. */
const HOUR_LATE_MS = HOUR_MS

/**
 * Batches that are at their best while everybody sleeps, taken off in the evening before, as far as their window is open by then and that is
 * nearer to the best than the morning after. Where nothing is held cold there are none: what is fed at once waits for its feeding.
 */
export function eveningWays(parts: WayParts): Way[] {
  const { input, kinds, grid } = parts
  if (input.cold === null) return []
  return input.running.flatMap((batch): Way[] => {
    const { fromMs, untilMs } = batch
    const bestMs = batch.ready.p50
    const eveningMs = grid.awakeBy(bestMs)
    const morningMs = grid.awakeFrom(bestMs)
    if (fromMs === undefined || untilMs === undefined || eveningMs === undefined) return []
    if (eveningMs < fromMs || eveningMs < input.nowMs || bestMs <= input.nowMs) return []
    const lateMs = morningMs === undefined ? Infinity : morningMs - bestMs
    if (lateMs < HOUR_LATE_MS || (bestMs - eveningMs) / (bestMs - fromMs) > lateMs / (untilMs - bestMs))
      return []
    const kindAt = kinds.findIndex(kind => kind.vessels.some(({ id }) => id === batch.vesselId))
    return harvestsFrom(parts, broodOf(batch.ready, batch.ageH, batch.ageing), eveningMs).map(
      ({ servings }) => ({
        source: { kind: 'running', batch },
        kindAt,
        fromMs: input.nowMs,
        firstMs: eveningMs,
        harvestMs: eveningMs,
        freeMs: eveningMs + (kinds[kindAt]?.turnroundMin ?? 0) * MINUTE_MS,
        nightStart: false,
        nightHarvest: false,
        servings: servings.map(serving => ({ ...serving, ageH: Math.max(0, serving.ageH) })),
        out: OUT_IN_WINDOW,
      }),
    )
  })
}

function plannedWays(parts: WayParts): Way[] {
  const { kinds, grid } = parts
  return kinds.flatMap((kind, kindAt) =>
    kind.outlooks.flatMap(outlook =>
      firstsFrom(parts, kind.freeFromMs + outlook.readyH.p50 * HOUR_MS).flatMap(firstMs =>
        startsFor(parts, kind, outlook, firstMs).flatMap((startMs): Way[] => {
          const at = (hours: number) => startMs + hours * HOUR_MS
          const { p10, p50, p90 } = outlook.readyH
          const brood = broodOf({ p10: at(p10), p50: at(p50), p90: at(p90) }, outlook.ageH, outlook.ageing)
          return harvestsFrom(parts, brood, firstMs).map(({ harvestMs, servings }) => ({
            source: { kind: 'planned', outlook, startMs },
            kindAt,
            fromMs: startMs,
            firstMs,
            harvestMs,
            freeMs: harvestMs + kind.turnroundMin * MINUTE_MS,
            nightStart: !grid.awake(startMs),
            nightHarvest: !grid.awake(harvestMs),
            servings,
          }))
        }),
      ),
    ),
  )
}

function broodOf(ready: Band, ageH: number, ageing: number): Brood {
  return {
    readyMs: ready.p50,
    sureMs: Math.min(ready.p90, ready.p50 + LATE_MARGIN_H * HOUR_MS),
    ageH,
    ageing,
  }
}

/** When a batch may be taken off, or drawn from first: at meals; where vessels are scarce, and what is taken is held cold, also between. */
function firstsFrom({ input, demands, grid, thorough }: WayParts, fromMs: number): number[] {
  const meals = demands.flatMap(({ atMs }) => (atMs >= fromMs ? [atMs] : []))
  const between = thorough && input.cold !== null ? grid.awakes.filter(atMs => atMs >= fromMs) : []
  return [...new Set([...meals, ...between])].sort((a, b) => a - b)
}

/**
 * When to start so that it is ready by then. The later the better: the vessel is taken for less long, and the nauplii are younger.
 * So there are four at most: by day or by night, sure or tight.
 */
function startsFor(
  { grid, thorough }: WayParts,
  kind: VesselKind,
  outlook: Outlook,
  firstMs: number,
): number[] {
  const { p50, p90 } = outlook.readyH
  const sureByMs = firstMs - Math.min(p90, p50 + LATE_MARGIN_H) * HOUR_MS
  const tightByMs = firstMs - p50 * HOUR_MS
  const possible = (atMs: number | undefined): atMs is number => atMs !== undefined && atMs >= kind.freeFromMs
  const sure = [grid.awakeBy(sureByMs), grid.anyBy(sureByMs)].filter(possible)
  const tight = [grid.awakeBy(tightByMs), grid.anyBy(tightByMs)].filter(possible)
  return [...new Set(thorough || sure.length === 0 ? [...sure, ...tight] : sure)]
}

interface Harvest {
  readonly harvestMs: number
  readonly servings: readonly Servable[]
}

/**
 * What a brood serves from a moment on. Held cold it is taken off then and serves later meals too; otherwise it is drawn from the
 * vessel meal by meal, and the last meal ends it.
 */
function harvestsFrom({ input: { cold }, demands }: WayParts, brood: Brood, firstMs: number): Harvest[] {
  const ageAt = (atMs: number) => brood.ageH + ((atMs - brood.readyMs) / HOUR_MS) * brood.ageing
  const servable: Servable[] = []
  for (const [demandAt, { atMs, limitH }] of demands.entries()) {
    if (atMs < firstMs) continue
    const coldH = cold === null ? 0 : (atMs - firstMs) / HOUR_MS
    const ageH = ageAt(cold === null ? atMs : firstMs)
    if (ageH > limitH || (cold !== null && coldH > cold.keepsH)) continue
    const alive = cold === null ? 1 : aliveAfter(cold, coldH)
    servable.push({ demandAt, ageH, coldH, alive, tight: atMs < brood.sureMs })
  }
  if (servable.length === 0) return []
  if (cold !== null) return [{ harvestMs: firstMs, servings: servable }]
  const moment = ({ demandAt }: Servable) => demands[demandAt]?.atMs ?? firstMs
  if (!servable.some(one => moment(one) === firstMs)) return []
  return [...new Set(servable.map(moment))].map(endMs => ({
    harvestMs: endMs,
    servings: servable.filter(one => moment(one) <= endMs),
  }))
}

/** Share of what was held that is alive after so many hours. */
export function aliveAfter({ keepsH, survival }: ColdStorage, hours: number): number {
  return 1 - (1 - survival) * Math.min(Math.max(hours, 0) / keepsH, 1)
}
