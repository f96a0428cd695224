import type { Caught, SoonerSearch } from '../../broker/web/api/sooner.ts'
import type { Settings } from '../../broker/web/api/schemas.ts'
import { ALARM_WORD } from '../words/alarm.ts'
import { shortTemperature, temperatureText } from '../words/temperature.ts'
import { duration, moment, next, type Zone } from '../words/time.ts'

export type Sooner = NonNullable<SoonerSearch['found']>

const minutes = (min: number): string => duration(min * 60_000)
const seconds = (s: number): string => duration(s * 1000)
/** What the clock and the day are for whoever reads. */
export interface Reader {
  readonly nowMs: number
  /** When the batch ended, Unix ms; left out while it is going on. */
  readonly untilMs?: number | undefined
  readonly zone: Zone
  /** When the water was above its limit, by the readings, as the diagnosis tells it; left out where another thing is told of. */
  readonly hot?: readonly Spell[] | undefined
}

/** A stretch of time, Unix ms. */
export interface Spell {
  readonly fromMs: number
  readonly toMs: number
}

/** Two calls that lie no further apart than this are one moment to a person, min. */
const SAME_MIN = 1

/**
 * The call that there was for what spoilt the batch, against the beginning of the damage, and who came.
 *
 * @param otherwise what called first for anything, in a sentence; empty where nothing did
 */
export function calledText(
  { called, damageAt }: Caught,
  { nowMs, untilMs, zone, hot }: Reader,
  otherwise = '',
): string {
  const damageMs = damageAt === null ? null : Date.parse(damageAt)
  const began = damageMs === null ? '' : ` It began ${moment(damageMs, nowMs, zone)}.`
  if (!called) {
    const first = otherwise === '' ? '' : ` The calls in the log were about other things: ${otherwise}`
    return `No alarm called for this cause itself.${began}${first}`
  }
  const calledMs = Date.parse(called.calledAt)
  const lead = damageMs === null ? '' : `, ${leadText(damageMs - calledMs)}`
  const first = `${ALARM_WORD[called.rule]} called ${moment(calledMs, nowMs, zone)}${lead}.`
  if (called.acknowledgedAt === null) return `${first} Nobody acknowledged it.`
  const { acknowledgedBy: by } = called
  const who = by === null || by === '' ? 'It was acknowledged' : `${by} acknowledged it`
  const afterMs = Math.max(0, Date.parse(called.acknowledgedAt) - calledMs)
  const seenMs = calledMs + afterMs
  const when =
    afterMs < 1000 ? 'at once' : `${next(seenMs, calledMs, nowMs, zone)}, ${duration(afterMs)} later`
  return `${first} ${who} ${when}${wentOn(called, seenMs, untilMs ?? nowMs, hot)}.`
}

/** An acknowledgement ends nothing: what held on for so long after it is said, ms. Own choice. */
const WENT_ON_MS = 30 * 60_000
export const HOW_IT_WENT_ON: Readonly<Partial<Record<Called['rule'], string>>> = {
  'water-heading-hot': 'the water stayed too hot',
  'water-too-hot': 'the water stayed too hot',
  'water-too-cool': 'the water stayed too cool',
  'air-lost': 'the air stayed away',
  'air-fading': 'the air stayed low',
  'light-out': 'the lamp stayed dark',
  'water-level': 'the water stayed low',
  'device-silent': 'nothing was heard',
  'power-lost': 'nothing was heard',
  'harvest-missed': 'it was not harvested',
}
type Called = Pick<NonNullable<Caught['called']>, 'rule' | 'overAt' | 'calls'>

/**
 * How long what was called for lasted after it was acknowledged, ms. Of heat by the readings above the limit, as the diagnosis counts:
 * an alarm begins before, on the way there, and ends later, once it is well below.
 */
function lastedMs({ overAt }: Called, seenMs: number, untilMs: number, hot?: readonly Spell[]): number {
  if (!hot) return Math.min(overAt === null ? untilMs : Date.parse(overAt), untilMs) - seenMs
  return hot.reduce(
    (sum, { fromMs, toMs }) => sum + Math.max(0, Math.min(toMs, untilMs) - Math.max(fromMs, seenMs)),
    0,
  )
}

/** The same in words; empty where that was not long. */
function wentOn(called: Called, seenMs: number, untilMs: number, hot?: readonly Spell[]): string {
  const { rule, calls } = called
  const forMs = lastedMs(called, seenMs, untilMs, hot)
  if (!(forMs >= WENT_ON_MS)) return ''
  const again = calls > 1 ? `, though it called ${calls} times in all` : ''
  return `; ${HOW_IT_WENT_ON[rule] ?? 'it went on'} for ${duration(forMs)} after that${again}`
}

/** Whether it was called and answered, and held on all the same: then a sooner call is not what was missing. */
export function wasOnlyAnswered(
  { called }: { readonly called: (Called & { readonly acknowledgedAt: string | null }) | null },
  untilMs: number,
  hot?: readonly Spell[],
): boolean {
  if (!called || called.acknowledgedAt === null) return false
  return lastedMs(called, Date.parse(called.acknowledgedAt), untilMs, hot) >= WENT_ON_MS
}

function leadText(leadMs: number): string {
  const long = duration(Math.abs(leadMs))
  if (Math.abs(leadMs) < SAME_MIN * 60_000) return 'as the damage began'
  return leadMs > 0 ? `${long} before the damage began` : `${long} after the damage began`
}

/** A setting beside what it is now: `the warning 45 min ahead instead of 30 min`. */
export function proposalText(
  { rule, knob, setting }: Pick<Sooner, 'rule' | 'knob' | 'setting'>,
  settings: Settings,
): string {
  const now = settings.rules[rule]
  const title = `“${ALARM_WORD[rule]}”`
  if (knob === 'enabled') return `${title} switched on`
  const than = (write: (of: Sooner['setting']) => string) => `${write(setting)} instead of ${write(now)}`
  if (knob === 'onDelayMs')
    return `${title} calling ${than(({ onDelayS: s }) => (s === 0 ? 'at once' : `after ${seconds(s)}`))}`
  if (knob === 'leastCostMs')
    return `a call for cool water once it costs ${than(({ leastCostS = 0 }) => seconds(leastCostS))} of harvest`
  const unit = settings.temperatureUnit
  switch (rule) {
    case 'water-heading-hot':
      return `the warning ${minutes(setting.limit)} ahead instead of ${minutes(now.limit)}`
    case 'water-too-hot':
      return `the heat limit at ${temperatureText(setting.limit, unit)} instead of ${shortTemperature(now.limit, unit)}`
    case 'water-too-cool':
      return `the cold limit at ${temperatureText(setting.limit, unit)} instead of ${shortTemperature(now.limit, unit)}`
    case 'air-lost':
      return `the air limit at ${setting.limit} l/min a litre instead of ${now.limit}`
    case 'air-fading':
      return `a call at ${setting.limit} % of the air that had settled instead of ${now.limit} %`
    case 'light-out':
      return `the light limit at ${setting.limit} lx instead of ${now.limit} lx`
    case 'water-level':
      return `a call at ${setting.limit} % of the level instead of ${now.limit} %`
    case 'harvest-missed':
      return `a call ${minutes(setting.limit)} after the harvest window instead of ${minutes(now.limit)}`
    default:
      return `${title} calling after ${than(({ limit }) => seconds(limit))}`
  }
}

/** What the search has found, in one sentence with its numbers. */
export function soonerText(
  caught: Caught,
  settings: Settings,
  { nowMs, untilMs = nowMs, zone, hot }: Reader,
): string {
  const { search, damageAt } = caught
  if (!search || search.state !== 'done') return ''
  const { found, now, tried, cut } = search
  if (!found) {
    if (now && wasOnlyAnswered(caught, untilMs, hot))
      return `It was called, and acknowledging ended nothing: what was missing is not a sooner call. No single setting would have made one without calling falsely: ${tried} were tried${cut ? ' in the time there was' : ''}.`
    if (now)
      return `No single setting would have called sooner without calling falsely: ${tried} were tried${cut ? ' in the time there was' : ''}.`
    return `Nothing that is watched would have called, at any of the ${tried} settings that were tried.`
  }
  const atMs = Date.parse(found.calledAt)
  const gained = found.gainedMin === null ? 'where now nobody would be' : `${minutes(found.gainedMin)} sooner`
  const damageMs = damageAt === null ? null : Date.parse(damageAt)
  const lead = damageMs === null ? '' : ` and ${leadText(damageMs - atMs)}`
  return `With ${proposalText(found, settings)} you would have been called ${moment(atMs, nowMs, zone)}, ${gained}${lead}; ${checkedText(search)}.`
}

function checkedText({ checked, cut }: SoonerSearch): string {
  if (checked === 0) return 'there is no other batch yet on which to see whether it calls falsely'
  const which = checked === 1 ? 'your other batch' : `your ${checked} other batches`
  return `on ${which}${cut ? ' that could be looked at in the time' : ''} nothing more would have called`
}

/** The settings were others then: what today’s would have done; empty where that is the call that there was. */
export function todayText({ search, called }: Caught, { nowMs, zone }: Reader): string {
  if (!search || search.state !== 'done') return ''
  const { now } = search
  if (!now) return called ? 'With the settings of today nobody would be called for it.' : ''
  const nowCallMs = Date.parse(now.calledAt)
  if (called && Math.abs(nowCallMs - Date.parse(called.calledAt)) <= SAME_MIN * 60_000) return ''
  const at = called
    ? next(nowCallMs, Date.parse(called.calledAt), nowMs, zone)
    : moment(nowCallMs, nowMs, zone)
  return `With the settings of today ${ALARM_WORD[now.rule]} would call ${at}.`
}

/** What would gain more and cannot be had, before the link to the batch that speaks against it. */
export function refusedText(
  { refused, found }: SoonerSearch,
  settings: Settings,
  { nowMs, zone }: Reader,
): string {
  if (!refused) return ''
  const atMs = Date.parse(refused.calledAt)
  const still = found ? 'Sooner still' : 'Sooner'
  const calls = refused.newCalls === 1 ? 'once' : `${refused.newCalls} times`
  return `${still}, ${moment(atMs, nowMs, zone)}, with ${proposalText(refused, settings)}; but that would have called ${calls} for nothing on`
}
