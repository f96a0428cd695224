/** Cleaning of vessels: what is due, how it is done, and what is to be minded. Pure. */

export const CleaningHow = { hotWater: 'hot-water', disinfected: 'disinfected' } as const
export type CleaningHow = (typeof CleaningHow)[keyof typeof CleaningHow]

/** Disinfect after so many batches, or days with a batch in them. Own choices: the trade says "when dirty or when the hatch declines". */
export interface CleaningPolicy {
  readonly everyBatches: number
  readonly everyDays: number
}
export const USUAL_CLEANING: CleaningPolicy = { everyBatches: 10, everyDays: 30 }

export interface Cleaned {
  readonly atMs: number
  readonly how: CleaningHow
}

export type CleaningReason =
  | { readonly name: 'after-batch'; readonly endedAtMs: number }
  | { readonly name: 'batches'; readonly batches: number }
  | { readonly name: 'days'; readonly days: number }
  | { readonly name: 'hatch-declines'; readonly lot: string }

export interface CleaningDue {
  readonly hotWater: CleaningReason | null
  readonly disinfect: CleaningReason | null
  readonly lastCleanedAtMs: number | null
  readonly lastDisinfectedAtMs: number | null
  /** Ended since the last disinfection. */
  readonly batchesSince: number
}

const DAY_MS = 86_400_000

/** @param ended when the vessel's batches ended; `decliningLot` a lot whose hatch declined in its last batch. */
export function cleaningDue(
  cleanings: readonly Cleaned[],
  ended: readonly number[],
  decliningLot: string | null,
  { everyBatches, everyDays }: CleaningPolicy,
  nowMs: number,
): CleaningDue {
  const newest = (times: readonly number[]) => (times.length === 0 ? null : Math.max(...times))
  const lastCleanedAtMs = newest(cleanings.map(({ atMs }) => atMs))
  const lastDisinfectedAtMs = newest(
    cleanings.flatMap(({ atMs, how }) => (how === 'disinfected' ? [atMs] : [])),
  )
  const lastEndedAtMs = newest(ended)
  const since = ended.filter(atMs => atMs > (lastDisinfectedAtMs ?? -Infinity))
  const firstSince = since.length === 0 ? null : Math.min(...since)
  const days = firstSince === null ? 0 : (nowMs - (lastDisinfectedAtMs ?? firstSince)) / DAY_MS
  return {
    lastCleanedAtMs,
    lastDisinfectedAtMs,
    batchesSince: since.length,
    hotWater:
      lastEndedAtMs !== null && lastEndedAtMs > (lastCleanedAtMs ?? -Infinity)
        ? { name: 'after-batch', endedAtMs: lastEndedAtMs }
        : null,
    disinfect: disinfectFor(),
  }

  function disinfectFor(): CleaningReason | null {
    if (since.length === 0) return null
    if (decliningLot !== null) return { name: 'hatch-declines', lot: decliningLot }
    if (since.length >= everyBatches) return { name: 'batches', batches: since.length }
    return days >= everyDays ? { name: 'days', days: Math.floor(days) } : null
  }
}

/** How each is done: common practice, no source. */
export const CLEANING_STEPS: Readonly<Record<CleaningHow, readonly string[]>> = {
  'hot-water': [
    'Air off, lamp off, and their plugs out.',
    'Pour the old water away: it is never used again.',
    'Rinse the vessel, its line, the air stone and the probe with hot water until no ring and no shells are left.',
    'Leave it upside down to dry.',
  ],
  disinfected: [
    'Clean it with hot water first: dirt uses the bleach up.',
    'Fill it with dilute household bleach as its label says, line and air stone too, and let it stand as long as the label says.',
    'Pour it out and rinse until nothing smells of it.',
    'Neutralise with a dechlorinator as its label says, and rinse once more.',
    'Leave it upside down to dry.',
  ],
}

/** What is to be minded, and never to be left off a screen that speaks of bleach. */
export const CLEANING_CAUTIONS: Readonly<Record<CleaningHow, readonly string[]>> = {
  'hot-water': [
    'Mains beside salt water: the plug out before the hands go in.',
    'Water that is too hot bends plastic bottles and scalds hands.',
  ],
  disinfected: [
    'Gloves on and windows open. Bleach burns skin and eyes.',
    'Never with acids or ammonia, nor with another cleaner: the gas is poisonous.',
    'Traces kill the next hatch: rinse and neutralise.',
  ],
}
