import { HOUR_MS } from '../units.ts'

/** Where cysts are kept. */
export const KeptIn = { freezer: 'freezer', refrigerator: 'refrigerator', shelf: 'shelf' } as const
export type KeptIn = (typeof KeptIn)[keyof typeof KeptIn]

/** An opened lot in the refrigerator is good for 3 to 4 weeks, in the freezer for longer (common practice, no source). */
export const OPENED_FROM_DAYS = 21
export const OPENED_UNTIL_DAYS = 28

const DAY_MS = 24 * HOUR_MS

export interface LotKeeping {
  readonly openedOnMs: number | null
  readonly keptIn: KeptIn | null
  readonly bestBeforeMs: number | null
}

/** When a lot should be used up. */
export interface UseBy {
  /** From here on it is time. */
  readonly fromMs: number
  readonly untilMs: number
  readonly why: 'opened' | 'best-before'
}

/**
 * What comes first: its date, or the weeks since it was opened. On a shelf it is taken to keep no longer than in the refrigerator (own
 * choice); in the freezer the date alone counts, because how much longer nobody says. `null` where nothing is known.
 */
export function useBy({ openedOnMs, keptIn, bestBeforeMs }: LotKeeping): UseBy | null {
  const opened: UseBy | null =
    openedOnMs === null || keptIn === null || keptIn === KeptIn.freezer
      ? null
      : {
          fromMs: openedOnMs + OPENED_FROM_DAYS * DAY_MS,
          untilMs: openedOnMs + OPENED_UNTIL_DAYS * DAY_MS,
          why: 'opened',
        }
  const dated: UseBy | null =
    bestBeforeMs === null
      ? null
      : { fromMs: bestBeforeMs - 7 * DAY_MS, untilMs: bestBeforeMs + DAY_MS, why: 'best-before' }
  if (opened === null || dated === null) return opened ?? dated
  return opened.untilMs <= dated.untilMs ? opened : dated
}
