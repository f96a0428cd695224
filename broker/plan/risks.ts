import type { Assigned } from './assign.ts'
import { HARDLY } from './choice.ts'
import type { FedMeal, PlanInput, Remedy, Risk } from './contract.ts'
import { RiskKind } from './contract.ts'
import { dangersOf } from './danger.ts'
import type { Grid } from './grid.ts'
import type { VesselKind } from './vessel-kinds.ts'
import { LATE_MARGIN_H, type Way } from './ways.ts'

const HOUR_MS = 3_600_000
/** Food up to so much older than the limit is worth being named as a remedy, h. Own choice. */
const OLDER_BY_H = 12

/** What is at risk and why, with the nearest remedy; meals that one batch or one lack concerns stand together. */
export function risksOf(
  input: PlanInput,
  kinds: readonly VesselKind[],
  ways: readonly Way[],
  meals: readonly FedMeal[],
  assigned: Assigned,
  grid: Grid,
): Risk[] {
  const lacking = meals.filter(meal => meal.lacking > 0)
  const short = lacking.map(meal => ({ meal, kind: whyLacking(input, meal, ways, assigned) }))
  const risks: Risk[] = []
  for (const { meal, kind } of short) {
    risks.push({
      kind,
      feedingIds: [meal.id],
      lacking: meal.lacking,
      sourceId: null,
      remedy: remedyFor(input, kinds, meal, kind, assigned, grid),
    })
  }
  const late = new Map<string, FedMeal[]>()
  for (const meal of meals) {
    for (const { sourceId, tight } of meal.servings) {
      if (!tight) continue
      const same = late.get(sourceId)
      if (same) same.push(meal)
      else late.set(sourceId, [meal])
    }
  }
  for (const [sourceId, concerned] of late) {
    const [first] = concerned
    risks.push({
      kind: RiskKind.batchLate,
      feedingIds: concerned.map(({ id }) => id),
      lacking: 0,
      sourceId,
      remedy: first ? laterFor(input, first, sourceId, assigned, grid) : { kind: 'none' },
    })
  }
  return [...dangersOf(input, meals, assigned), ...risks]
}

function whyLacking(input: PlanInput, meal: FedMeal, ways: readonly Way[], { starts }: Assigned): RiskKind {
  if (input.vessels.length === 0 || input.outlooks.length === 0) return RiskKind.noOutlook
  const soonest = Math.min(...input.outlooks.map(({ readyH }) => readyH.p50))
  if (meal.atMs < input.nowMs + soonest * HOUR_MS) return RiskKind.tooSoon
  const limited = input.lots.filter(({ gramsLeft }) => gramsLeft !== null)
  const used = new Map<string, number>()
  for (const { lotId, grams } of starts) used.set(lotId, (used.get(lotId) ?? 0) + grams)
  const spent = limited.filter(
    ({ id, gramsLeft }) => (gramsLeft ?? 0) - (used.get(id) ?? 0) < input.gramStep - 1e-9,
  )
  if (limited.length === input.lots.length && spent.length === input.lots.length) return RiskKind.shortOfCysts
  return ways.length === 0 ? RiskKind.noOutlook : RiskKind.noVessel
}

function remedyFor(
  input: PlanInput,
  kinds: readonly VesselKind[],
  meal: FedMeal,
  kind: RiskKind,
  assigned: Assigned,
  grid: Grid,
): Remedy {
  const best = [...input.outlooks].sort((a, b) => b.naupliiPerG - a.naupliiPerG)[0]
  if (kind === RiskKind.shortOfCysts && best) {
    const steps = Math.ceil(meal.lacking / best.naupliiPerG / input.gramStep - 1e-9)
    return { kind: 'more-cysts', lotId: best.lotId, grams: Number((steps * input.gramStep).toFixed(3)) }
  }
  const older = olderFor(input, meal, assigned)
  if (older) return older
  if (kind === RiskKind.tooSoon) return laterFor(input, meal, null, assigned, grid)
  const gpl = Math.max(0, ...kinds.map(({ maxGpl }) => maxGpl))
  if (kind === RiskKind.noVessel && best && gpl > 0) {
    const litres = Math.ceil((meal.lacking / best.naupliiPerG / gpl) * 10) / 10
    return { kind: 'more-litres', litres }
  }
  return { kind: 'none' }
}

/** What will be there by then and is only a little too old. */
function olderFor(input: PlanInput, meal: FedMeal, { harvests, starts, shares }: Assigned): Remedy | null {
  const offers: Extract<Remedy, { kind: 'older-food' }>[] = []
  const taken = (sourceId: string) =>
    shares.filter(share => share.sourceId === sourceId).reduce((sum, share) => sum + share.taken, 0)
  const offer = (
    source: 'planned' | 'running' | 'held',
    sourceId: string,
    ageH: number,
    nauplii: number,
    readyMs: number,
  ) => {
    const left = nauplii - taken(sourceId)
    if (readyMs > meal.atMs || left <= HARDLY || ageH > meal.limitH + OLDER_BY_H) return
    offers.push({ kind: 'older-food', source, sourceId, ageH, nauplii: Math.min(left, meal.lacking) })
  }
  for (const batch of input.running) {
    if (!harvests.some(({ batchId }) => batchId === batch.id)) continue
    const ageH = batch.ageH + ((meal.atMs - batch.ready.p50) / HOUR_MS) * batch.ageing
    offer('running', batch.id, ageH, batch.nauplii, batch.ready.p50)
  }
  for (const start of starts) {
    const outlook = input.outlooks.find(one => one.vesselId === start.vesselId && one.lotId === start.lotId)
    if (!outlook) continue
    const ageH = outlook.ageH + ((meal.atMs - start.ready.p50) / HOUR_MS) * outlook.ageing
    offer('planned', start.id, ageH, start.nauplii, start.ready.p50)
  }
  for (const held of input.held) offer('held', held.id, held.ageH, held.nauplii, held.heldSinceMs)
  return offers.sort((a, b) => b.nauplii - a.nauplii || a.ageH - b.ageH)[0] ?? null
}

/**
 * When food is there, if the meal can wait for it: at the harvest that the plan has, and never before; for a batch that may be late, not
 * before it is sure enough either. It is a moment of the grid, as every other one that is asked for.
 */
function laterFor(
  input: PlanInput,
  meal: FedMeal,
  sourceId: string | null,
  { starts, harvests, shares }: Assigned,
  grid: Grid,
): Remedy {
  const unused = (id: string, nauplii: number) =>
    shares.reduce((left, share) => (share.sourceId === id ? left - share.taken : left), nauplii) > HARDLY
  const batches = input.running.flatMap(({ id, ready, nauplii }) => {
    const harvest = harvests.find(({ batchId }) => batchId === id)
    return harvest && (sourceId !== null || unused(id, nauplii))
      ? [{ id, ready, takenMs: harvest.firstMs }]
      : []
  })
  const planned = starts.map(({ id, ready, harvestMs }) => ({
    id,
    ready,
    // Held cold it is there once it is taken off; otherwise it is drawn from the vessel.
    takenMs: input.cold === null ? ready.p50 : harvestMs,
  }))
  const there = [...batches, ...planned]
    .filter(({ id }) => sourceId === null || id === sourceId)
    .map(({ id, ready: { p50, p90 }, takenMs }) => {
      const sureMs =
        sourceId === null ? takenMs : Math.max(takenMs, Math.min(p90, p50 + LATE_MARGIN_H * HOUR_MS))
      return { sourceId: id, atMs: grid.awakeFrom(sureMs) ?? sureMs }
    })
    .filter(({ atMs }) => atMs > meal.atMs)
  const [first] = there.sort((a, b) => a.atMs - b.atMs || (a.sourceId < b.sourceId ? -1 : 1))
  return first ? { kind: 'feed-later', ...first } : { kind: 'none' }
}
