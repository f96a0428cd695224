import { HowEarly, howEarly } from '../development/earliest-hatch.ts'

/** What a person saw of one batch, with the batch's own development at that moment. It is plain data: it may be kept as JSON. */
export interface BatchEvidence {
  readonly startedAtMs: number
  readonly litres: number
  /** Dry cysts poured in, g. */
  readonly cystsG: number
  readonly items: readonly LotObservation[]
}

export type LotObservation = FirstSwimmersSeen | NaupliiCounted

interface Moment {
  readonly atMs: number
  /** Development of this batch by then, °C·h above the threshold. */
  readonly degH: number
  /** How sure that is, one standard deviation, °C·h. */
  readonly degHSd: number
}

/** Somebody looked and saw the first swimming nauplii. They may have swum for hours: people look now and then. */
export interface FirstSwimmersSeen extends Moment {
  readonly kind: 'first-swimmers'
}

/** Totals over all samples of one count, as they were under the lens. */
export interface NaupliiCounted extends Moment {
  readonly kind: 'count'
  readonly nauplii: number
  /** `null` where they were not counted. */
  readonly umbrella: number | null
  /** Full cysts that had not hatched; `null` where they were not counted. */
  readonly embryos: number | null
  /** The vessel's water that all samples came from, before any dilution, ml. */
  readonly sampledMl: number
  readonly harvest: boolean
}

/** A lot is learned from so many of its newest batches. */
export const MOST_BATCHES = 50
/** Of each batch so many newest observations count. */
export const MOST_OBSERVATIONS = 20

/** Nauplii counted before anything can have hatched: they are of another batch, or its start is written down wrong. */
export const isTooSoon = (
  item: Pick<NaupliiCounted, 'atMs' | 'nauplii' | 'umbrella'>,
  { startedAtMs }: Pick<BatchEvidence, 'startedAtMs'>,
): boolean =>
  item.nauplii + (item.umbrella ?? 0) > 0 && howEarly(item.atMs - startedAtMs) === HowEarly.impossible

/** The observations that can be reckoned with: numbers that are numbers, none impossible. */
export function usableItems(batch: BatchEvidence): LotObservation[] {
  return batch.items.filter(item => isUsable(item, batch)).slice(-MOST_OBSERVATIONS)
}

function isUsable(item: LotObservation, { startedAtMs, litres, cystsG }: BatchEvidence): boolean {
  if (!(item.degH >= 0 && item.degHSd >= 0 && item.atMs > startedAtMs)) return false
  if (!(Number.isFinite(item.degH) && Number.isFinite(item.degHSd))) return false
  if (item.kind === 'first-swimmers') return item.degH > 0
  if (isTooSoon(item, { startedAtMs })) return false
  const counts = [item.nauplii, item.umbrella ?? 0, item.embryos ?? 0]
  if (!counts.every(count => count >= 0 && Number.isFinite(count))) return false
  // Without the other stages the number alone has to speak, and it says nothing without dose and volumes.
  return item.umbrella !== null || item.embryos !== null
    ? counts.some(count => count > 0)
    : item.sampledMl > 0 && litres > 0 && cystsG > 0
}
