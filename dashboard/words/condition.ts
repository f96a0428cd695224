import type { Latest, Settings, Vessel } from '../../broker/web/api/schemas.ts'

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

/** How long a channel may be quiet before the screen says so, ms: what raises the silence alarm, at least a minute. */
export const quietMs = (settings: Settings): number =>
  Math.max(60_000, settings.rules['device-silent'].limit * 1000)

/** The water against this batch's limits. */
export function waterCondition(vessel: Vessel, settings: Settings, nowMs: number): WaterCondition {
  const latest = vessel.latest.waterC
  if (!vessel.channels.water && !latest) return { state: 'none', word: 'no probe yet', waterC: null }
  if (!latest) return { state: 'none', word: 'waiting for the first reading', waterC: null }
  if (latest.quality !== 'good' || latest.value === null)
    return { state: 'fault', word: faultWord(latest.quality) || 'no value', waterC: null }
  const waterC = latest.value
  if (nowMs - Date.parse(latest.at) > quietMs(settings)) return { state: 'silent', word: 'not heard', waterC }
  const limits = waterLimits(settings)
  if (waterC > limits.hotC) return { state: 'hot', word: 'too hot', waterC }
  if (!vessel.batch) return { state: 'idle', word: 'no batch', waterC }
  if (waterC < limits.coolC) return { state: 'cold', word: 'too cool', waterC }
  const { fromC, toC } = rightBand(limits)
  if (waterC > toC) return { state: 'warm', word: 'warm', waterC }
  if (waterC < fromC) return { state: 'cool', word: 'cool', waterC }
  return { state: 'right', word: 'just right', waterC }
}

export interface AirCondition {
  /** `null` when air is not measured here. */
  readonly flowing: boolean | null
  readonly airLpm: number | null
  readonly word: string
}

/** The air line: `limit` of the rule is in l/min per litre of water. */
export function airCondition(vessel: Vessel, settings: Settings): AirCondition {
  const latest = vessel.latest.airLpm
  if (!latest) return { flowing: null, airLpm: null, word: 'not measured' }
  if (latest.quality !== 'good' || latest.value === null)
    return { flowing: null, airLpm: null, word: 'sensor fault' }
  const litres = vessel.batch?.litres ?? vessel.litres
  const flowing = latest.value > settings.rules['air-lost'].limit * litres
  return { flowing, airLpm: latest.value, word: flowing ? 'flowing' : 'stopped' }
}

export interface LampCondition {
  readonly lit: boolean | null
  readonly lightLx: number | null
  readonly word: string
}

export function lampCondition(vessel: Vessel, settings: Settings): LampCondition {
  const latest = vessel.latest.lightLx
  if (!latest) return { lit: null, lightLx: null, word: 'not measured' }
  if (latest.quality !== 'good' || latest.value === null)
    return { lit: null, lightLx: null, word: 'sensor fault' }
  const lit = latest.value > settings.rules['light-out'].limit
  return { lit, lightLx: latest.value, word: lit ? 'lit' : 'dark' }
}
