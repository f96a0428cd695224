import { wholeCountOf } from '../hatch/counts/whole-count.ts'
import { vesselMlSampled } from '../hatch/counts/samples.ts'
import {
  type BatchEvidence,
  isTooSoon,
  type LotObservation,
  type NaupliiCounted,
} from '../hatch/lot/evidence.ts'
import type { BatchRow } from '../store/contract.ts'
import { countAt } from './count-at.ts'
import type { BatchForecast } from './batch-forecast.ts'
import type { BatchEvent, CountSample } from './event-contract.ts'

/** What was seen of a batch, as the hatch model learns from it: each observation with the development at its moment. */
export function evidenceFrom(
  batch: BatchRow,
  events: readonly BatchEvent[],
  development: BatchForecast,
): BatchEvidence {
  const counts: readonly BatchEvent[] = events.filter(
    event => event.kind === 'count' && event.withdrawnAtMs === null,
  )
  // The stirred vessel tells all that what was drawn off of it could, and more: what stayed behind had hatched too.
  const isTold = (event: BatchEvent): boolean => {
    const whole = event.kind === 'count' ? wholeCountOf(counts, event, countAt) : null
    return event.kind === 'count' && event.drawnOffMl !== undefined && whole !== null
  }
  return {
    startedAtMs: batch.startedAtMs,
    litres: batch.litres,
    cystsG: batch.cystsG,
    items: events
      .filter(event => event.withdrawnAtMs === null && !isTold(event))
      .flatMap(event => observationOf(event, batch, development)),
  }
}

function observationOf(
  event: BatchEvent,
  { litres, startedAtMs }: BatchRow,
  development: BatchForecast,
): LotObservation[] {
  if (event.kind !== 'first-swimmers' && event.kind !== 'count') return []
  const moment = { atMs: event.atMs, ...development.developmentAt(event.atMs) }
  if (event.kind === 'first-swimmers') return [{ kind: event.kind, ...moment }]
  const { samples, harvest, drawnOffMl } = event
  // What was drawn off was parted from what had not hatched: how many of those are among it says nothing of the vessel.
  const stirred = drawnOffMl === undefined
  const counted: NaupliiCounted = {
    kind: event.kind,
    ...moment,
    harvest,
    nauplii: sum(samples, sample => sample.nauplii) ?? 0,
    umbrella: stirred ? sum(samples, sample => sample.umbrella) : null,
    embryos: stirred ? sum(samples, sample => sample.embryos) : null,
    sampledMl: vesselMlSampled(samples, { litres, drawnOffMl }),
  }
  return isTooSoon(counted, { startedAtMs }) ? [] : [counted]
}

/** The total over all samples; `null` when any of them lacks it. */
function sum(
  samples: readonly CountSample[],
  part: (sample: CountSample) => number | undefined,
): number | null {
  let total = 0
  for (const sample of samples) {
    const value = part(sample)
    if (value === undefined) return null
    total += value
  }
  return total
}
