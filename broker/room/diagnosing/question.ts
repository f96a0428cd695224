import type { DiagnosisInput, Span, WrittenDown } from '../../diagnosis/contract.ts'
import type { BatchEvidence } from '../../hatch/lot/evidence.ts'
import type { Quality } from '../../intake/reading.ts'
import type { BatchRow, Sample } from '../../store/contract.ts'
import type { BatchEvent } from '../event-contract.ts'
import { evidenceFrom } from '../batch-evidence.ts'
import { BatchForecast } from '../batch-forecast.ts'

/** What the diagnosing thread is asked: everything but the lot's belief, which it reckons itself. */
export interface Question {
  readonly input: Omit<DiagnosisInput, 'lot'>
  /** The lot's batches before this one, oldest first. */
  readonly history: readonly BatchEvidence[]
}

/** The record is looked at so far before the start and after the end, ms. */
export const AROUND_MS = 12 * 3_600_000
/** Of a role one reading in this time is enough, ms; of faults each change is kept. */
const EVERY_MS = 30_000

/** Fewer readings that say the same: the first of every half minute, and each at which the quality changes. */
export function thinned(samples: readonly Sample[]): Sample[] {
  const out: Sample[] = []
  let nextMs = -Infinity
  let quality: Quality | null = null
  for (const sample of samples) {
    if (sample.atMs < nextMs && sample.quality === quality) continue
    out.push(sample)
    nextMs = sample.atMs + EVERY_MS
    quality = sample.quality
  }
  return out
}

/** What persons wrote down, as the diagnosis takes it. What was taken back does not count. */
export function writtenDown(batch: BatchRow, events: readonly BatchEvent[]): WrittenDown {
  const standing = events.filter(event => event.withdrawnAtMs === null)
  const first = standing.find(event => event.kind === 'first-swimmers')
  // Development is reckoned anew by the diagnosis: none is needed here.
  const counts = evidenceFrom(batch, standing, new BatchForecast(batch)).items.flatMap(item =>
    item.kind === 'count' ? [item] : [],
  )
  const drawnOff = standing.findLast(event => event.kind === 'drawn-off')
  return {
    ...(first === undefined ? {} : { firstSwimmersAtMs: first.atMs }),
    ...(drawnOff === undefined ? {} : { harvestedAtMs: drawnOff.atMs }),
    counts,
    pH: standing.flatMap(event => (event.kind === 'ph' ? [{ atMs: event.atMs, pH: event.ph }] : [])),
    salinity: standing.flatMap(event =>
      event.kind === 'salinity' ? [{ atMs: event.atMs, gpl: event.salinityGpl }] : [],
    ),
    waterChecked: standing.flatMap(event =>
      event.kind === 'temperature' ? [{ atMs: event.atMs, waterC: event.waterC }] : [],
    ),
    airOff: airOffSpans(standing, batch.endedAtMs ?? Infinity),
  }
}

function airOffSpans(events: readonly BatchEvent[], endMs: number): Span[] {
  const spans: Span[] = []
  let offMs: number | null = null
  for (const { kind, atMs } of [...events].sort((a, b) => a.atMs - b.atMs)) {
    if (kind === 'air-off') offMs ??= atMs
    if (kind !== 'air-on' || offMs === null) continue
    spans.push({ fromMs: offMs, toMs: atMs })
    offMs = null
  }
  if (offMs !== null) spans.push({ fromMs: offMs, toMs: endMs })
  return spans
}
