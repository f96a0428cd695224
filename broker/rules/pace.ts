/** How often something is usually heard. Moved on in place, like the clocks; `atMs` is NaN before the first. */
export interface Pace {
  atMs: number
  /** The newest gaps, ms, oldest first. */
  gaps: number[]
  /** What is usual of them, ms; 0 while none is known. */
  usual: number
}

/** What comes within so long of what was counted last is the same hearing, ms: a pack for each sensor, or one a second. */
const SAME_MS = 5000
const KEPT = 5
/** A longer gap counts as this, ms: the longest that the protocol lets a device wait between two packs. */
const LONGEST = 3_600_000
/**
 * So many of the usual gaps without a word are a silence: two that were missed, and half a one for a late pack. Own choice: one pack
 * is lost now and then, two on end seldom.
 */
const SILENT_AFTER = 2.5

export const noPace = (): Pace => ({ atMs: NaN, gaps: [], usual: 0 })

/** Takes in that it was heard at `atMs`, in place. */
export function notePace(pace: Pace, atMs: number): void {
  const gap = atMs - pace.atMs
  if (gap < SAME_MS) return
  if (gap >= SAME_MS) {
    pace.gaps = [...pace.gaps.slice(1 - KEPT), Math.min(gap, LONGEST)]
    pace.usual = usualOf(pace.gaps)
  }
  pace.atMs = atMs
}

/** How long this must be silent before that is a silence at all, ms; 0 while its pace is not known. */
export const silentAfter = ({ usual }: Pace): number => SILENT_AFTER * usual

/** The middle one, the shorter of two; none from one alone. An outage or two among the five make nobody wait longer for the next. */
function usualOf(gaps: readonly number[]): number {
  if (gaps.length < 2) return 0
  return [...gaps].sort((a, b) => a - b)[(gaps.length - 1) >> 1] ?? 0
}
