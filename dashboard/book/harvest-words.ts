import { harvestLeft } from '../../broker/hatch/counts/harvest-left.ts'
import type { CountEstimate } from '../../broker/web/api/counts.ts'
import type { BatchEvent } from '../../broker/web/api/events.ts'
import { expectedWords } from '../words/hatch.ts'

interface Band {
  readonly p10: number
  readonly p50: number
  readonly p90: number
}

/** `9:07` left, `0:00` when it is over. */
export function settleText(leftMs: number): string {
  const seconds = Math.max(0, Math.ceil(leftMs / 1000))
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, '0')}`
}

/** Which share of the harvest that goes on is not written down yet, 0 to 1. */
export function shareLeft(events: readonly BatchEvent[], nowMs: number): number {
  const entries = events.flatMap(event =>
    event.withdrawnAt === null
      ? [
          {
            kind: event.kind,
            atMs: Date.parse(event.at),
            recordedAtMs: Date.parse(event.recordedAt),
            ...(event.kind === 'taken' ? { share: event.share, nauplii: event.nauplii } : {}),
            counted: event.kind === 'count' && event.harvest ? event.estimate : null,
          },
        ]
      : [],
  )
  return harvestLeft(entries, nowMs).share
}

const rounded = (count: number): string => Number(count.toPrecision(3)).toLocaleString('en-US')

/** What a count at the harvest says: how many, how good, and against what was expected. */
export function harvestResult(
  {
    nauplii,
    hatchPercentage,
    naupliiPerG,
    words,
  }: Pick<CountEstimate, 'nauplii' | 'hatchPercentage' | 'naupliiPerG' | 'words'>,
  expected: Band | null,
): { readonly nauplii: string; readonly lines: readonly string[] } {
  const hatched =
    hatchPercentage === null
      ? []
      : [
          `${Math.round(hatchPercentage.best)} % of the cysts hatched (${Math.round(hatchPercentage.low)}–${Math.round(hatchPercentage.high)}).`,
        ]
  return {
    nauplii: `${rounded(nauplii.best)} nauplii`,
    lines: [
      words,
      ...hatched,
      `${rounded(naupliiPerG.best)} from each gram.`,
      ...(expected === null ? [] : [againstExpected(nauplii, expected)]),
    ],
  }
}

/**
 * What the number itself says goes first: outside of what was expected it is never called expected. Where the count's own limits
 * still reach into it, that is said, and how to become sure.
 */
function againstExpected({ low, best, high }: CountEstimate['nauplii'], { p10, p50, p90 }: Band): string {
  const said = `${expectedWords(p50)} were expected in the end (${rounded(p10)}–${rounded(p90)})`
  if (best >= p10 && best <= p90) return `As expected: ${said}.`
  const fewer = best < p10
  const than = fewer ? 'Fewer than expected' : 'More than expected'
  if (fewer ? high < p10 : low > p90)
    return `${than}: ${said}. One such count changes what is expected of its lot only in part, as it may be a slip; a second one that agrees does. Where it moves the hours of another vessel, the room says by how much.`
  const reach = fewer ? `up to ${rounded(high)}` : `down to ${rounded(low)}`
  return `${than}, though not surely: ${said}, and this count may mean ${reach}. Two more samples tell.`
}
