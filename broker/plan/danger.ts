import type { Assigned } from './assign.ts'
import type { FedMeal, PlanInput, Remedy, Risk, RunningBatch } from './contract.ts'
import { RiskKind } from './contract.ts'

const HOUR_MS = 3_600_000
const MINUTE_MS = 60_000

/** Feedings that are met from a batch on whose vessel an alarm stands, with what would make up for it. */
export function dangersOf(input: PlanInput, meals: readonly FedMeal[], assigned: Assigned): Risk[] {
  return input.running.flatMap((batch): Risk[] => {
    if (!batch.danger) return []
    const concerned = meals.filter(({ servings }) => servings.some(({ sourceId }) => sourceId === batch.id))
    if (concerned.length === 0) return []
    const remedy: Remedy =
      batch.ready.p50 <= input.nowMs
        ? { kind: 'harvest-now', vesselId: batch.vesselId }
        : spareFor(input, batch, concerned, assigned)
    const feedingIds = concerned.map(({ id }) => id)
    return [{ kind: RiskKind.inDanger, feedingIds, lacking: 0, sourceId: batch.id, remedy }]
  })
}

/** The batch that, begun now in a vessel that stands empty long enough, is in time for most of them; then the one that is ready first. */
function spareFor(
  input: PlanInput,
  batch: RunningBatch,
  concerned: readonly FedMeal[],
  { starts }: Assigned,
): Remedy {
  const { nowMs, gramStep } = input
  const empty = input.vessels
    .filter(({ id, freeFromMs }) => freeFromMs <= nowMs && !input.running.some(each => each.vesselId === id))
    .map(vessel => {
      const own = starts.filter(({ vesselId }) => vesselId === vessel.id)
      return { vessel, next: Math.min(...own.map(({ startMs }) => startMs)) }
    })
  const spares = empty.flatMap(({ vessel, next }) => {
    return input.outlooks.flatMap(outlook => {
      const lot = input.lots.find(({ id }) => id === outlook.lotId)
      const readyMs = nowMs + outlook.readyH.p50 * HOUR_MS
      if (outlook.vesselId !== vessel.id || readyMs + vessel.turnroundMin * MINUTE_MS > next || !lot)
        return []
      const used = starts.reduce((sum, { lotId, grams }) => (lotId === lot.id ? sum + grams : sum), 0)
      const most = Math.min(vessel.litres * vessel.maxGpl, (lot.gramsLeft ?? Infinity) - used)
      const inTime = concerned.filter(({ atMs }) => atMs >= readyMs)
      // In time for none, it makes up for all of it afterwards.
      const wanted = (inTime.length > 0 ? inTime : concerned)
        .flatMap(({ servings }) => servings)
        .reduce((sum, { sourceId, nauplii }) => (sourceId === batch.id ? sum + nauplii : sum), 0)
      const steps = Math.min(
        Math.ceil(wanted / outlook.naupliiPerG / gramStep - 1e-9),
        Math.floor(most / gramStep + 1e-9),
      )
      if (steps < 1) return []
      const grams = Number((steps * gramStep).toFixed(3))
      return [{ vesselId: vessel.id, lotId: lot.id, grams, readyMs, feedingsMet: inTime.length }]
    })
  })
  const [best] = spares.sort(
    (a, b) =>
      b.feedingsMet - a.feedingsMet ||
      a.readyMs - b.readyMs ||
      a.grams - b.grams ||
      (a.vesselId < b.vesselId ? -1 : 1),
  )
  if (best) return { kind: 'start-spare', ...best }
  // The one that stays empty longest is the one that is told of.
  const [needed] = empty
    .filter(({ vessel, next }) =>
      input.outlooks.some(
        ({ vesselId, readyH }) =>
          vesselId === vessel.id && nowMs + readyH.p50 * HOUR_MS + vessel.turnroundMin * MINUTE_MS > next,
      ),
    )
    .sort((a, b) => b.next - a.next)
  if (needed) return { kind: 'vessel-needed', vesselId: needed.vessel.id, startMs: needed.next }
  const isLeft = input.lots.some(({ id, gramsLeft }) => {
    const used = starts.reduce((sum, { lotId, grams }) => (lotId === id ? sum + grams : sum), 0)
    return (gramsLeft ?? Infinity) - used >= gramStep - 1e-9
  })
  return empty.length > 0 && !isLeft ? { kind: 'no-cysts' } : { kind: 'none' }
}
