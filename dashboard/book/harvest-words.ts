import { roundedOut } from '../../broker/hatch/counts/rounded-out.ts'
import { harvestLeft, SHARE_SLACK } from '../../broker/hatch/counts/harvest-left.ts'
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

/** Of less than this share nothing is asked: three thirds leave it. */
const ASKED_ABOVE = SHARE_SLACK

/** What is asked before the end of what is not written down: `40 % of the harvest are left, some 263,000: ...`; empty for nothing. */
export function leftQuestion(left: number, counted: number | null): string {
  if (left <= ASKED_ABOVE) return ''
  const many = counted === null ? '' : `, some ${rounded(counted * left)} nauplii`
  return `${Math.round(100 * left)}\u00a0% of the harvest are left${many}: kept cold, fed, or thrown away?`
}

const rounded = (count: number): string => Number(count.toPrecision(3)).toLocaleString('en-US')

/** Of a count that cannot be of its batch. */
export const TOO_SOON_COUNT =
  'It was counted before anything of this batch could hatch, so it can hardly be of it, and does not count towards its lot. If it was a slip, take it back in the log.'

/** What a count at the harvest says: how many, how good, and against what was expected. */
export function harvestResult(
  {
    nauplii,
    hatchPercentage,
    naupliiPerG,
    words,
    stirred,
    tooSoon = false,
  }: Pick<CountEstimate, 'nauplii' | 'hatchPercentage' | 'naupliiPerG' | 'words'> & {
    readonly stirred?: CountEstimate['nauplii'] | null
    readonly tooSoon?: boolean
  },
  expected: Band | null,
): { readonly nauplii: string; readonly lines: readonly string[] } {
  if (tooSoon) return { nauplii: `${rounded(nauplii.best)} nauplii`, lines: [words, TOO_SOON_COUNT] }
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
      ...(stirred ? [againstStirred(nauplii, stirred)] : []),
      ...hatched,
      `${rounded(naupliiPerG.best)} from each gram.`,
      ...(expected === null ? [] : [againstExpected(stirred ?? nauplii, expected)]),
    ],
  }
}

/** What was drawn off beside what the stirred vessel held: the one is fed, the other is what hatched. */
export function againstStirred(
  drawnOff: CountEstimate['nauplii'],
  stirred: CountEstimate['nauplii'],
): string {
  const held = `the stirred vessel was counted at ${rounded(stirred.best)}`
  if (drawnOff.high < stirred.low) {
    const share = Math.round((100 * drawnOff.best) / stirred.best)
    return `That is ${share}\u00a0% of what was there, for ${held}: the rest stayed behind, or was lost on the way.`
  }
  if (drawnOff.low > stirred.high)
    return `That is more than was there, for ${held}: look at the millilitres of both counts again.`
  return `All of it was drawn off, as far as counts can tell: ${held}.`
}

/**
 * What the number itself says goes first: outside of what was expected it is never called expected, nor is a number whose own limits
 * do not hold what was most likely. Where the count's limits still reach into what was expected, that is said, and how to become sure.
 */
function againstExpected({ low, best, high }: CountEstimate['nauplii'], { p10, p50, p90 }: Band): string {
  const said = `${expectedWords(p50)} were expected in the end (${rounded(p10)}–${rounded(p90)})`
  if (best >= p10 && best <= p90) {
    if (p50 >= low && p50 <= high) return `As expected: ${said}.`
    return `${best < p50 ? 'Fewer' : 'More'} than most likely, within what was left open: ${said}.`
  }
  const fewer = best < p10
  const than = fewer ? 'Fewer than expected' : 'More than expected'
  if (fewer ? high < p10 : low > p90)
    return `${than}: ${said}. One such count changes what is expected of its lot only in part, as it may be a slip; a second one that agrees does. Where it moves the hours of another vessel, the room says by how much.`
  const told = roundedOut({ low, high })
  const reach = fewer
    ? `up to ${told.high.toLocaleString('en-US')}`
    : `down to ${told.low.toLocaleString('en-US')}`
  return `${than}, though not surely: ${said}, and this count may mean ${reach}. Two more samples tell.`
}
