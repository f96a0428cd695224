import { ageWords } from '../../broker/hatch/holding/nauplii-age.ts'
import type { Draw, HeldPortion } from '../../broker/web/api/books.ts'
import { duration, moment, type Zone } from '../words/time.ts'

const rounded = (count: number): string => Number(count.toPrecision(3)).toLocaleString('en-US')

export const leftText = ({ left }: Pick<HeldPortion, 'left'>): string =>
  left === null ? 'Not counted' : `${rounded(left)} nauplii`

/** What a portion is still worth: of what its nauplii hatched with. */
export function foodText({ energyLeft: { p10, p50, p90 } }: Pick<HeldPortion, 'energyLeft'>): string {
  const percent = (share: number) => Math.round(100 * share)
  const [low, high] = [percent(p10), percent(p90)]
  const span = low === high ? '' : ` (${low}–${high})`
  return `Food value ${percent(p50)} %${span} of the newly hatched.`
}

/** Of what cannot be of its batch neither age nor worth is told. */
export const TOO_SOON_WORDS =
  'It was put in before anything of its batch could hatch, so it can hardly be of it: its age and food value are not known, and the plan does not count on it.'

/** How old they are, as the plan tells it too. */
export function heldAge({ ageH, heldH, ageKnown }: Pick<HeldPortion, 'ageH' | 'heldH' | 'ageKnown'>): string {
  const age = ageWords({ ageH, coldH: heldH })
  return ageKnown
    ? `In the mean ${age}.`
    : `About ${age}: nothing tells when they hatched, so the middle of a harvest window is taken.`
}

/** Until when it is known to keep; past that nothing is known. */
export function untilText({ until }: Pick<HeldPortion, 'until'>, nowMs: number, zone: Zone): string {
  const untilMs = Date.parse(until)
  const when = moment(untilMs, nowMs, zone)
  if (nowMs >= untilMs) return `Its time was up ${when}: look whether they still swim before you feed them.`
  return `Keeps until ${when}, ${duration(untilMs - nowMs)} more.`
}

export const drawText = ({ for: what, nauplii }: Pick<Draw, 'for' | 'nauplii'>): string =>
  `${what === 'fed' ? 'fed' : 'thrown away'} ${nauplii === null ? 'all that was left' : rounded(nauplii)}`
