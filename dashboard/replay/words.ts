import type { Cause, Diagnosis } from './diagnosed.ts'
import { alarmWord } from '../words/alarm.ts'
import { airText, levelText, lightText } from '../words/amounts.ts'
import { hardlyOut, percent } from '../words/hatch.ts'
import {
  ownUnitFirst,
  shortTemperature,
  temperatureText,
  type TemperatureUnit,
  toF,
} from '../words/temperature.ts'
import { duration, moment, type Zone } from '../words/time.ts'
import type { Forecast } from '../../broker/web/api/forecast.ts'
import type { Curve } from '../curves/history.ts'
import { type FirstCall } from './alarms-then.ts'
import { STRAYS } from './killed.ts'
import { hatchedAt, type Recording, type Said, saidAt } from './recording.ts'

const TITLE: Record<Cause['kind'], string> = {
  'too-hot': 'too hot',
  'too-cool': 'too cool',
  'air-lost': 'air lost',
  'dark-at-first': 'dark in the first hours',
  'too-dense': 'too many cysts',
  'salinity-off': 'salt off',
  'ph-off': 'pH off',
  'harvested-early': 'harvested too early',
  'harvested-late': 'harvested too late',
  'weak-lot': 'weak lot',
  stratified: 'water in layers',
  'probe-wrong': 'probe wrong',
  'probe-out-of-water': 'probe out of the water',
  'readings-missing': 'readings missing',
}

/** A cause in a few words. */
export const causeTitle = (kind: Cause['kind']): string => TITLE[kind]

type Balance = Diagnosis['balance']

/** How sure, as word and number: `very likely, 92 in 100`. */
export function sureText({ sure, probability }: Pick<Cause, 'sure' | 'probability'>): string {
  // No record makes a thing certain.
  const inHundred = Math.min(99, Math.max(1, Math.round(probability * 100)))
  return `${sure}, ${inHundred} in 100`
}

const span = (low: number, high: number, write: (value: number) => string): string =>
  write(low) === write(high) ? '' : ` (${write(low)} to ${write(high)})`
const whole = (value: number): string => String(Math.round(Math.max(0, value)))
const tenths = (value: number): string => Math.abs(value).toFixed(1).replace(/\.0$/, '')

const hoursSpan = ({ p10, p50, p90 }: Cause['cost']['laterH']): string => {
  const [low, high] = p50 > 0 ? [p10, p90] : [p90, p10]
  return low * high > 0 ? span(low, high, tenths) : ''
}

/** Under this many points, or hours, nothing is said of a cost. */
const LEAST_POINTS = 0.5
const LEAST_H = 0.25

/** A batch that is later than this has not come out within what was reckoned, h. */
const NEVER_H = 48

/** Whether a cause took hatch, food or hours that are worth a word. */
export const isCostly = ({ cost: { hatchPoints, foodPoints, laterH } }: Pick<Cause, 'cost'>): boolean =>
  hatchPoints.p50 >= LEAST_POINTS || foodPoints.p50 >= LEAST_POINTS || Math.abs(laterH.p50) >= LEAST_H

/** What a cost is held against, where that is known. */
export interface Hatch {
  /** Points that there would have been without any cause. */
  readonly withoutPoints: number
  /** By the count nothing came out alive: then nothing came out later either. */
  readonly noneOut: boolean
  /** By the lot's other batches. */
  readonly naupliiPerPoint: number | null
}

export function hatchOf(
  { without, counted }: Pick<Balance, 'without' | 'counted'>,
  forecast?: Pick<Forecast, 'naupliiBefore' | 'hatchShareBefore'> | null,
): Hatch {
  const nauplii = forecast?.naupliiBefore?.p50 ?? 0
  const points = 100 * (forecast?.hatchShareBefore?.p50 ?? 0)
  return {
    withoutPoints: without.p50,
    noneOut: counted !== null && counted.best < 100 * STRAYS,
    naupliiPerPoint: nauplii > 0 && points > 0 ? nauplii / points : null,
  }
}

/** From which share on which words; less is said with its points alone. */
const SHARE_WORDS: readonly (readonly [number, string])[] = [
  [0.9, 'nearly all of it'],
  [0.65, 'most of it'],
  [0.4, 'about half of it'],
  [0.27, 'about a third of it'],
  [0.15, 'about a fifth of it'],
]

/** Points in words: `nearly all of it, about 210,000 nauplii`. */
function inWords(points: number, { withoutPoints, naupliiPerPoint }: Hatch): string {
  const share = withoutPoints > 0 ? points / withoutPoints : 0
  const words = SHARE_WORDS.find(([from]) => share >= from)?.[1]
  const nauplii =
    naupliiPerPoint === null
      ? undefined
      : `about ${Number((points * naupliiPerPoint).toPrecision(2)).toLocaleString('en-US')} nauplii`
  return [words, nauplii].filter(each => each !== undefined).join(', ')
}

/**
 * What a cause took: `34 points of hatch (20 to 48), 2.1 h later out`, with what that is of the whole where it is known; empty when it
 * took nothing to speak of.
 */
export function costText(
  { cost, noLossCounted }: Pick<Cause, 'cost' | 'noLossCounted'>,
  hatch: Hatch | null = null,
): string {
  const { hatchPoints, foodPoints, laterH } = cost
  const parts: string[] = []
  let said = ''
  if (hatchPoints.p50 >= LEAST_POINTS) {
    parts.push(`${whole(hatchPoints.p50)} points of hatch${span(hatchPoints.p10, hatchPoints.p90, whole)}`)
    said = hatch ? inWords(hatchPoints.p50, hatch) : ''
    if (said !== '') parts[0] += `: ${said}`
  } else if (foodPoints.p50 >= LEAST_POINTS)
    parts.push(`${whole(foodPoints.p50)} points of food${span(foodPoints.p10, foodPoints.p90, whole)}`)
  if (hatch?.noneOut !== true && Math.abs(laterH.p50) >= LEAST_H)
    parts.push(
      laterH.p50 >= NEVER_H
        ? 'out more than two days later, if at all'
        : `${tenths(laterH.p50)} h ${laterH.p50 > 0 ? 'later' : 'sooner'} out${hoursSpan(laterH)}`,
    )
  if (noLossCounted) parts.push('no loss that the count shows')
  return parts.join(said === '' ? ', ' : '; ')
}

/** What spoils the record shows no loss itself: it hides one. */
const OF_RECORD: ReadonlySet<Cause['kind']> = new Set([
  'probe-wrong',
  'probe-out-of-water',
  'readings-missing',
])

/** The cost of what is named first, never empty: of what spoilt the record, what it hides. */
export function firstCostText(
  cause: Pick<Cause, 'kind' | 'cost' | 'noLossCounted'>,
  balance: Balance,
  hatch: Hatch | null = null,
): string {
  const cost = costText(cause, hatch)
  if (cost !== '') return cost
  if (!OF_RECORD.has(cause.kind)) return 'nothing to speak of'
  const { unexplained } = balance
  if (unexplained === null) return 'not known: nobody counted, and the record does not tell'
  return unexplained.p90 < 0
    ? `not known: ${whole(-unexplained.p50)} points of hatch are missing, and the record does not tell why`
    : 'nothing that the count shows'
}

/** What the causes leave over, in a sentence; empty where nobody counted. */
export function remainderText({ unexplained, counted, expected }: Balance): string {
  if (!unexplained || !counted) return ''
  const points = Math.round(unexplained.p50)
  const reckoned = `${whole(expected.p50)} of 100 cysts were to be expected after all that, ${whole(counted.best)} were counted`
  if (Math.abs(points) < 1 || (unexplained.p10 <= 0 && unexplained.p90 >= 0))
    return `${reckoned}: that agrees, as far as either is known.`
  return points < 0
    ? `${reckoned}: ${-points} points are left unexplained.`
    : `${reckoned}: ${points} points better than it should have been.`
}

/** Time since the start, to the minute: `18 h 20 min`. */
export function sinceStart(ms: number): string {
  const minutes = Math.max(0, Math.floor(ms / 60_000))
  const hours = Math.floor(minutes / 60)
  return hours === 0 ? `${minutes} min` : `${hours} h ${minutes % 60} min`
}

/** A reading with its unit, or since when there is none. */
export function saidText(
  role: Curve,
  said: Said | null,
  atMs: number,
  unit: TemperatureUnit,
  short = false,
): string {
  if (!said) return 'not measured'
  if (said.old) return `no good reading for ${duration(atMs - said.atMs)}`
  switch (role) {
    case 'water':
    case 'upper-water':
    case 'room':
      return short ? shortTemperature(said.value, unit) : temperatureText(said.value, unit)
    case 'air':
      return airText(said.value)
    case 'light':
      return lightText(said.value)
    case 'level':
      return levelText(said.value)
  }
}

/** How much is out, in words: `40 % of all nauplii that will come are out (25–60)`; short, `40 % out`. */
export function outThen({ replay }: Recording, atMs: number, short = false): string {
  const hatched = hatchedAt(replay.course, atMs)
  if (!hatched) return ''
  const band = { p10: hatched.least, p50: hatched.share, p90: hatched.most }
  if (hardlyOut(band))
    return band.p90 < 0.05 ? 'none out yet' : `none yet, ${percent(band.p90, band)} % at most`
  if (short) return `${percent(hatched.share, band)} % out`
  const [low, high] = [percent(hatched.least, band), percent(hatched.most, band)]
  return `${percent(hatched.share, band)} % of all nauplii that will come are out${low === high ? '' : ` (${low}–${high})`}`
}

/** A moment as it is read aloud: `06:40, 18 h 20 min after the start, water 28.1 °C`. */
export function momentText(
  recording: Recording,
  atMs: number,
  unit: TemperatureUnit,
  nowMs: number,
  zone: Zone,
): string {
  const water = saidText('water', saidAt(recording.channels.water, atMs), atMs, unit, true)
  const after = sinceStart(atMs - recording.fromMs)
  return `${moment(atMs, nowMs, zone)}, ${after} after the start, water ${water}`
}

/** What called first, and who came: a sentence. */
export function firstCallText(first: FirstCall | null, nowMs: number, zone: Zone): string {
  if (!first) return 'No alarm called during this batch.'
  const { alarm, calledAtMs, acknowledgedAtMs, by } = first
  const called = `${alarmWord({ ...alarm, state: 'unacknowledged', clearedAt: null })} called first, ${moment(calledAtMs, nowMs, zone)}`
  if (acknowledgedAtMs === null) return `${called}; nobody acknowledged it.`
  const who = by === null || by === '' ? 'it was acknowledged' : `${by} acknowledged it`
  return `${called}; ${who} ${duration(Math.max(0, acknowledgedAtMs - calledAtMs))} later.`
}

/** A figure below this is a difference or a spread, not water or air of a fish room, °C. Own choice. */
const LEAST_WATER_C = 8

/** Words that give °C alone, in both units with the person's own first: differences are told by their size. */
export function bothUnits(words: string, unit: TemperatureUnit): string {
  const one = (text: string): string => {
    const celsius = Number(text)
    return (celsius < LEAST_WATER_C ? celsius * 1.8 : toF(celsius)).toFixed(1).replace(/\.0$/, '')
  }
  const both = (_: string, first: string, to = '', last = ''): string => {
    const celsius = `${first}${to}${last}`
    const fahrenheit = `${one(first)}${to}${last === '' ? '' : one(last)}`
    return unit === 'C' ? `${celsius} °C (${fahrenheit} °F)` : `${fahrenheit} °F (${celsius} °C)`
  }
  return ownUnitFirst(words, unit).replace(
    /(\d+(?:\.\d+)?)(?:( to (?:about )?)(\d+(?:\.\d+)?))?\s°C(?! \(|\))/g,
    both,
  )
}
