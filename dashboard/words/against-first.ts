import { CYSTS_PER_G } from '../../broker/hatch/lot/lot.ts'
import { vesselMlSampled } from '../../broker/hatch/counts/samples.ts'
import type { BatchEvent } from '../../broker/web/api/events.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import { naupliiByCount } from './seen.ts'
import { duration } from './time.ts'

type Count = Extract<BatchEvent, { kind: 'count' }>

/**
 * From the first swimmers (two standard deviations early, see `first-swimmers.ts`) until such a share is out it takes so long at the
 * least, h: a quick lot of less than half the usual spread (`lot.ts`) in water of 27 °C makes 1.1 h of a standard deviation. Own choice.
 */
const LEAST_H = [
  { share: 0.9, h: 3.6 },
  { share: 0.7, h: 2.8 },
  { share: 0.5, h: 2.2 },
  { share: 0.3, h: 1.6 },
] as const
/** Fewer under the lens tell no share. Own choice. */
const FEWEST = 20

/** What share a count says is out: of its own cysts where they were counted, else of all that a gram holds, which is the least. */
function shareOut(count: Count, batch: Pick<Batch, 'litres' | 'cystsG'>): number {
  const sum = (of: (sample: Count['samples'][number]) => number) =>
    count.samples.reduce((all, sample) => all + of(sample), 0)
  if (sum(({ nauplii }) => nauplii) < FEWEST) return 0
  const whole = count.samples.filter(({ embryos }) => embryos !== undefined)
  if (whole.length > 0) {
    const nauplii = whole.reduce((all, sample) => all + sample.nauplii, 0)
    const all = whole.reduce((all, { umbrella = 0, embryos = 0 }) => all + umbrella + embryos, nauplii)
    return all > 0 ? nauplii / all : 0
  }
  const from = {
    litres: batch.litres,
    ...(count.drawnOffMl === undefined ? {} : { drawnOffMl: count.drawnOffMl }),
  }
  if (vesselMlSampled(count.samples, from) <= 0) return 0
  return (naupliiByCount(count.samples, from) ?? 0) / (batch.cystsG * CYSTS_PER_G)
}

/** The share of the newest count by which the first cannot have come as late as `firstMs`, and when it was counted; `null` for none. */
function speaksAgainst(
  events: readonly BatchEvent[],
  batch: Pick<Batch, 'litres' | 'cystsG'>,
  firstMs: number,
): { readonly share: number; readonly afterMs: number } | null {
  for (const event of [...events].reverse()) {
    if (event.kind !== 'count' || event.withdrawnAt !== null) continue
    const afterMs = Date.parse(event.at) - firstMs
    const share = shareOut(event, batch)
    const least = LEAST_H.find(each => share >= each.share)
    if (least && afterMs < least.h * 3_600_000) return { share, afterMs }
  }
  return null
}

/** Beside a tap that says the first swim just now: what was counted out already; empty while both can be true. */
export function countedOut(
  events: readonly BatchEvent[],
  batch: Pick<Batch, 'litres' | 'cystsG'>,
  nowMs: number,
): string {
  const counted = speaksAgainst(events, batch, nowMs)
  return counted === null ? '' : `By the count ${Math.round(100 * counted.share)}\u00a0% were out already.`
}

/**
 * What a count says against the first swimmers that were noted: so many cannot have come out since. One sentence with what to do;
 * empty where both can be true.
 */
export function againstFirst(
  events: readonly BatchEvent[],
  batch: Pick<Batch, 'litres' | 'cystsG'>,
  first: BatchEvent | null,
): string {
  const counted = first && speaksAgainst(events, batch, Date.parse(first.at))
  if (!counted) return ''
  const { share, afterMs } = counted
  const when =
    afterMs < 0 ? `${duration(-afterMs)} before` : afterMs < 60_000 ? 'as' : `${duration(afterMs)} after`
  return `The count does not go with that: ${Math.round(100 * share)}\u00a0% were out ${when} the first were noted. They came earlier: correct the time.`
}
