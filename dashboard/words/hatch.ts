import { GUESS, hardlyKnown } from '../../broker/hatch/hardly-known.ts'
import type { Forecast } from '../../broker/web/api/forecast.ts'

type Band = Forecast['hatchedNow']

/** Below this share nothing is said to be out: a few first ones are seen, not counted. */
const FIRST_OUT = 0.01
/** Umbrellas are spoken of and drawn from this share on. */
export const MANY_UMBRELLAS = 0.08
/** What the yolk has left is spoken of once so many are out. */
const FED_FROM = 0.1

/** Per cent to the fineness that a band has: to 1 when it is narrow, to 5 or 10 when it is not. */
export function percent(share: number, band: Pick<Band, 'p10' | 'p90'>): number {
  const step = fineness(band)
  return Math.round((share * 100) / step) * step
}

function fineness({ p10, p90 }: Pick<Band, 'p10' | 'p90'>): number {
  const width = p90 - p10
  return width > 0.3 ? 10 : width > 0.06 ? 5 : 1
}

/** Never less than what may be, as a limit is: the band that is drawn does not reach above it. */
function percentAtMost(band: Pick<Band, 'p10' | 'p90'>): number {
  const step = fineness(band)
  return Math.min(100, Math.ceil((band.p90 * 100) / step - 1e-9) * step)
}

/** Whether there is nothing out to speak of: as finely as it is known, none. */
export const hardlyOut = (hatched: Band): boolean =>
  hatched.p50 < FIRST_OUT || percent(hatched.p50, hatched) === 0

/** From here on one speaks of nearly all. */
const MOST = 0.9

/** `42`, `about 40` when that is as well as it is known, `perhaps 40` when it is hardly known. */
export function aboutPercent(band: Band): string {
  const width = band.p90 - band.p10
  const shown = percent(band.p50, band)
  return width > GUESS ? `perhaps ${shown}` : width > 0.06 ? `about ${shown}` : `${shown}`
}

/** The share that is out, with what it may be: `About 40 % out (25–60 %).` Empty while nothing is. */
export function outText({ hatchedNow, stagesNow }: Pick<Forecast, 'hatchedNow' | 'stagesNow'>): string {
  const { p10, p90 } = hatchedNow
  const umbrellas = stagesNow.umbrella.p50
  const hanging =
    umbrellas >= MANY_UMBRELLAS
      ? ` ${capital(aboutPercent(stagesNow.umbrella))} % hang from their shells as umbrellas.`
      : ''
  if (hardlyOut(hatchedNow)) {
    const perhaps = p90 >= 0.05 ? `Most likely none out yet; ${percentAtMost({ p10, p90 })} % at most.` : ''
    return `${perhaps}${hanging}`.trim()
  }
  if (p10 > 0.98) return `All are out.${hanging}`
  if (hardlyKnown(hatchedNow)) {
    const least = p10 < 0.05 ? 'hardly any' : `${percent(p10, hatchedNow)} %`
    const guess =
      hatchedNow.p50 > MOST
        ? `Perhaps nearly all out, perhaps only ${least}`
        : `${capital(aboutPercent(hatchedNow))} % out, but anything from ${least} to ${p90 > 0.95 ? 'all' : `${percent(p90, hatchedNow)} %`}`
    return `${guess}: look, and write down what you see.${hanging}`
  }
  const low = percent(p10, hatchedNow)
  const high = percent(p90, hatchedNow)
  const span = low === high ? '' : ` (${low}–${high} %)`
  return `${capital(aboutPercent(hatchedNow))} % out${span}.${hanging}`
}

/** From this share on the first swam hours ago, most likely. Own choice. */
const GOOD_PART = 0.4

/** Beside a tap that says the first swim just now: what the forecast has out already; empty while that can be. */
export function outAlreadyText({
  reachesHatch,
  hatchedNow,
}: Pick<Forecast, 'reachesHatch' | 'hatchedNow'>): string {
  if (!reachesHatch || hatchedNow.p50 < GOOD_PART) return ''
  return hatchedNow.p50 > MOST
    ? 'By the forecast perhaps nearly all are out.'
    : `By the forecast ${aboutPercent(hatchedNow)}\u00a0% are out.`
}

/** What the nauplii still have of their yolk, once it matters: empty before. */
export function yolkText({ hatchedNow, energyLeft, stage }: Forecast): string {
  if (hatchedNow.p50 < FED_FROM) return ''
  const { p50 } = energyLeft
  const left = `${aboutPercent(energyLeft)} % of their yolk`
  if (stage === 'overdue') return `Those out have ${left} left, and live on it until they are fed or eaten.`
  return p50 > 0.97 ? 'Their yolk is as good as untouched.' : `Fed now, they still have ${left}.`
}

/** What was expected, to the two digits that are known of it: `720,000`, as {@link yieldText} and the plan have it. */
export const expectedWords = (nauplii: number): string =>
  Number(nauplii.toPrecision(2)).toLocaleString('en-US')

/** How many nauplii the dose gives in the end, to the two digits that are known: `about 520 thousand (390–640 thousand)`. */
export function yieldText({ p10, p50, p90 }: Band): string {
  const [each, word] = p50 >= 950_000 ? [1_000_000, ' million'] : p50 >= 9500 ? [1000, ' thousand'] : [1, '']
  const count = (animals: number) => Number((animals / each).toPrecision(2))
  return `about ${count(p50)}${word} (${count(p10)}–${count(p90)}${word})`
}

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1)
