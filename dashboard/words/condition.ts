import type { Vessel } from '../../broker/web/api/vessels.ts'
import type { Alarm, Latest, Settings } from '../../broker/web/api/schemas.ts'
import { hasCome, STOPPED_LPM } from './alarm.ts'
import { airText, lightText } from './amounts.ts'
import { shortTemperature } from './temperature.ts'
import { duration } from './time.ts'

/** What the water is, in one word and one mark; colour only repeats it. */
export const WaterState = {
  /** Below the limit, above it: these call. */
  cold: 'cold',
  hot: 'hot',
  /** Within the limits, but short of what is best. */
  cool: 'cool',
  warm: 'warm',
  right: 'right',
  /** Water stands in the vessel but no batch is open, so there is nothing to be right for. */
  idle: 'idle',
  /** Back inside the limit, but not yet so far that the alarm of it has cleared. */
  returningHot: 'returning-hot',
  returningCold: 'returning-cold',
  /** Inside the limits while something else calls: no word of comfort belongs there. */
  within: 'within',
  fault: 'fault',
  silent: 'silent',
  none: 'none',
} as const
export type WaterState = (typeof WaterState)[keyof typeof WaterState]

export interface WaterCondition {
  readonly state: WaterState
  readonly word: string
  /** The last believable temperature; `null` when there is none to show. */
  readonly waterC: number | null
}

export interface Limits {
  readonly coolC: number
  readonly hotC: number
}

/** Where hatching water is at its best, °C: 25-28 preferred (FAO Fisheries Technical Paper 361). */
const BEST_C = { fromC: 25, toC: 28 } as const
/** So near a limit, °C, water is not called right whatever the limits are: it is about to be wrong. Own choice. */
const NEAR_LIMIT_C = 1

/**
 * What counts as just right between two limits: the best temperatures as far as the limits leave them, and if they leave none,
 * what lies well between the limits.
 */
export function rightBand({ coolC, hotC }: Limits): { readonly fromC: number; readonly toC: number } {
  const near = Math.max(0, Math.min(NEAR_LIMIT_C, (hotC - coolC) / 4))
  const within = { fromC: coolC + near, toC: hotC - near }
  const fromC = Math.max(BEST_C.fromC, within.fromC)
  const toC = Math.min(BEST_C.toC, within.toC)
  return fromC < toC ? { fromC, toC } : within
}

/** The temperatures that this room's water must stay between while a batch is on its way. */
export function waterLimits(settings: Settings): Limits {
  return { coolC: settings.rules['water-too-cool'].limit, hotC: settings.rules['water-too-hot'].limit }
}

const FAULT_WORDS: Record<Exclude<Latest['quality'], 'good'>, string> = {
  'power-on': 'probe just restarted',
  disconnected: 'probe unplugged',
  'all-zero': 'probe shorted',
  'out-of-range': 'probe out of range',
  frozen: 'probe frozen',
  'out-of-water': 'probe out of the water',
  'reported-fault': 'probe fault',
}

/** Words for a reading that is not to be believed. */
export const faultWord = (quality: Latest['quality']): string =>
  quality === 'good' ? '' : FAULT_WORDS[quality]

/**
 * How long a channel may be quiet before the screen says so, ms: what raises the silence alarm, by its own pace `ofS` where it comes
 * seldom; at least a minute.
 */
export const quietMs = (settings: Settings, ofS = 0): number =>
  Math.max(60, settings.rules['device-silent'].limit, ofS) * 1000

/**
 * Once the room knows that several devices fell silent together, what it has not heard for as long as that took is old for the
 * screen too: nothing is well there for being measured well before.
 */
export function agedSooner(settings: Settings, alarms: Iterable<Alarm>): Settings {
  if (!standing([...alarms], 'power-lost')) return settings
  const { rules } = settings
  const limit = Math.min(rules['device-silent'].limit, rules['power-lost'].limit)
  return { ...settings, rules: { ...rules, 'device-silent': { ...rules['device-silent'], limit } } }
}

/** The water against this batch's limits. */
export function waterCondition(vessel: Vessel, settings: Settings, nowMs: number): WaterCondition {
  const latest = vessel.latest.waterC
  if (!vessel.channels.water && !latest) return { state: 'none', word: 'no probe yet', waterC: null }
  if (!latest) return { state: 'none', word: 'waiting for the first reading', waterC: null }
  if (latest.quality !== 'good' || latest.value === null)
    return { state: 'fault', word: faultWord(latest.quality) || 'no value', waterC: null }
  const waterC = latest.value
  if (nowMs - Date.parse(latest.at) > quietMs(settings, vessel.silentAfterS?.water))
    return { state: 'silent', word: 'not heard', waterC }
  const limits = waterLimits(settings)
  // The limit itself is too hot, as it is to the rule that calls.
  if (waterC >= limits.hotC) return { state: 'hot', word: 'too hot', waterC }
  if (!vessel.batch) return { state: 'idle', word: 'no batch', waterC }
  if (waterC < limits.coolC) return { state: 'cold', word: 'too cool', waterC }
  const { fromC, toC } = rightBand(limits)
  if (waterC > toC) return { state: 'warm', word: 'warm', waterC }
  if (waterC < fromC) return { state: 'cool', word: 'cool', waterC }
  return { state: 'right', word: 'just right', waterC }
}

/** Within its limits, and not to stay so: one word wherever it is told. */
export const HEATING = 'heating up'

const COMFORTING: readonly WaterState[] = ['right', 'warm', 'cool', 'idle']
const hasCleared = (alarm: Alarm): boolean =>
  alarm.clearedAt !== null || alarm.state === 'return-to-normal-unacknowledged'

/** The alarm of a rule that stands among these and is not over. */
export const standing = (alarms: readonly Alarm[], rule: Alarm['rule']): Alarm | undefined =>
  alarms.find(alarm => alarm.rule === rule && !hasCleared(alarm))

/** What calls for water that is too hot: the alarm of that, or the warning whose call goes on. */
export const standingHot = (alarms: readonly Alarm[]): Alarm | undefined =>
  standing(alarms, 'water-too-hot') ?? alarms.find(alarm => hasCome(alarm) && !hasCleared(alarm))

/** The water while these alarms stand on its vessel: what would read as all well gives way to what is so. */
export function waterBesideAlarms(water: WaterCondition, alarms: readonly Alarm[]): WaterCondition {
  if (alarms.length === 0 || !COMFORTING.includes(water.state)) return water
  if (standing(alarms, 'water-too-hot')) return { ...water, state: 'returning-hot', word: 'coming back' }
  if (standing(alarms, 'water-too-cool')) return { ...water, state: 'returning-cold', word: 'coming back' }
  if (standing(alarms, 'probe-fault')) return { ...water, state: 'within', word: 'coming back' }
  if (standing(alarms, 'water-heading-hot')) return { ...water, state: 'within', word: HEATING }
  return water.state === 'idle' ? water : { ...water, state: 'within', word: 'water in limits' }
}

/** When a water that is not heard now last was, Unix ms; `null` for one that is heard, or never was. */
export function lastHeardMs(
  { latest: { waterC }, silentAfterS }: Pick<Vessel, 'latest' | 'silentAfterS'>,
  settings: Settings,
  nowMs: number,
): number | null {
  return waterC && staleMs(waterC, settings, nowMs, silentAfterS?.water) !== null
    ? Date.parse(waterC.at)
    : null
}

/** The age of a reading that is too old to speak of now, ms; `null` for one that is new enough. */
function staleMs(latest: Latest, settings: Settings, nowMs: number, ofS?: number): number | null {
  const ageMs = nowMs - Date.parse(latest.at)
  return ageMs > quietMs(settings, ofS) ? ageMs : null
}

export interface AirCondition {
  /** Whether it is as much as the water needs; `null` when air is not measured here, or was last measured too long ago. */
  readonly flowing: boolean | null
  readonly airLpm: number | null
  /** What the water needs, l/min. */
  readonly neededLpm: number
  readonly word: string
  /** How old the value is, ms, when that is too old to go by; `null` otherwise. */
  readonly staleMs: number | null
}

/** The air line: `limit` of the rule is in l/min per litre of water. */
export function airCondition(vessel: Vessel, settings: Settings, nowMs: number): AirCondition {
  const latest = vessel.latest.airLpm
  const neededLpm = settings.rules['air-lost'].limit * (vessel.batch?.litres ?? vessel.litres)
  if (!latest) return { flowing: null, airLpm: null, neededLpm, word: 'not measured', staleMs: null }
  const old = staleMs(latest, settings, nowMs, vessel.silentAfterS?.air)
  if (latest.quality !== 'good' || latest.value === null)
    return { flowing: null, airLpm: null, neededLpm, word: 'sensor fault', staleMs: old }
  const airLpm = latest.value
  if (old !== null) return { flowing: null, airLpm, neededLpm, word: 'not heard', staleMs: old }
  const flowing = airLpm > neededLpm
  const word = flowing ? 'flowing' : airLpm < STOPPED_LPM ? 'stopped' : 'too little'
  return { flowing, airLpm, neededLpm, word, staleMs: null }
}

export interface LampCondition {
  /** `null` when light is not measured here, or was last measured too long ago. */
  readonly lit: boolean | null
  readonly lightLx: number | null
  readonly word: string
  /** How old the value is, ms, when that is too old to go by; `null` otherwise. */
  readonly staleMs: number | null
}

export function lampCondition(vessel: Vessel, settings: Settings, nowMs: number): LampCondition {
  const latest = vessel.latest.lightLx
  if (!latest) return { lit: null, lightLx: null, word: 'not measured', staleMs: null }
  const old = staleMs(latest, settings, nowMs, vessel.silentAfterS?.light)
  if (latest.quality !== 'good' || latest.value === null)
    return { lit: null, lightLx: null, word: 'sensor fault', staleMs: old }
  if (old !== null) return { lit: null, lightLx: latest.value, word: 'not heard', staleMs: old }
  const lit = latest.value > settings.rules['light-out'].limit
  return { lit, lightLx: latest.value, word: lit ? 'lit' : 'dark', staleMs: null }
}

const aged = (text: string, oldMs: number | null): string =>
  oldMs === null ? text : `${text}, ${duration(oldMs)} ago`

/** The upper water in one unit, for a small place: `28.1 °C`, `28.1 °C, 9 min ago`. `null` where no second probe hangs. */
export function upperWaterWords(
  { latest: { upperWaterC: latest } }: Vessel,
  settings: Settings,
  nowMs: number,
) {
  if (!latest) return null
  const old = staleMs(latest, settings, nowMs)
  if (latest.quality !== 'good' || latest.value === null) return aged('sensor fault', old)
  return aged(shortTemperature(latest.value, settings.temperatureUnit), old)
}

/** The air line in words: `0.60 l/min`, `0.00 l/min, stopped`, `0.60 l/min, below 1.0`, `0.60 l/min, 9 min ago`. */
export function airWords({ airLpm, flowing, neededLpm, word, staleMs: oldMs }: AirCondition): string {
  if (airLpm === null) return aged(word, oldMs)
  if (flowing !== false) return aged(airText(airLpm), oldMs)
  if (airLpm < STOPPED_LPM) return `${airText(airLpm)}, stopped`
  // Two figures that read alike would say nothing.
  const needed = airText(neededLpm).replace(' l/min', '')
  return airText(airLpm).startsWith(needed)
    ? `${airText(airLpm)}, too little`
    : `${airText(airLpm)}, below ${needed}`
}

/** The lamp in words: `lit, 1,900 lx`, `1,900 lx, 9 min ago`. */
export function lampWords({ lightLx, word, staleMs: oldMs }: LampCondition): string {
  if (lightLx === null) return aged(word, oldMs)
  return oldMs === null ? `${word}, ${lightText(lightLx)}` : aged(lightText(lightLx), oldMs)
}
