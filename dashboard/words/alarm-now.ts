import { allowedC } from '../../broker/hatch/calibration/allowance.ts'
import { COVERAGE } from '../../broker/hatch/calibration/uncertainty.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import type { Alarm, Latest, Settings } from '../../broker/web/api/schemas.ts'
import { airText, lightText } from './amounts.ts'
import { faultWord, quietMs } from './condition.ts'
import { digitsBeside, shortTemperature, temperatureText } from './temperature.ts'
import { duration, exactly } from './time.ts'
import type { Trend } from './trend.ts'

/** How bad it is now, whatever it was when the alarm was raised. */
export interface AlarmNow {
  /** The value alone in the person's unit, for a line among others: `32.8 °C`. */
  readonly value: string
  /** The same as told: `32.8 °C (91.0 °F) now, rising`. */
  readonly told: string
  /** What that is held against: `limit 29.4 °C (84.9 °F)`; empty where there is no number. */
  readonly against: string
}

/** From where the water counts as too hot: earlier by what a calibrated probe may read too little. */
function heatFrom(
  { limit, allowForProbe = true }: Settings['rules']['water-too-hot'],
  plusMinusC: number | null | undefined,
): number {
  return limit - (allowForProbe && plusMinusC ? allowedC(plusMinusC / COVERAGE) : 0)
}

/** What this alarm's water is held against, °C; `null` where it is no water's limit. */
function waterLimitC(
  { rule, limit }: Alarm,
  { waterPlusMinusC }: Vessel,
  { rules }: Settings,
): number | null {
  // Its own limit is in minutes; what the water heads for is the other rule's.
  if (rule === 'water-heading-hot') return heatFrom(rules['water-too-hot'], waterPlusMinusC)
  return rule === 'water-too-hot' || rule === 'water-too-cool' ? limit : null
}

/** With how many digits the water of this alarm and its limit are told, so that two that differ never look the same. */
function digitsOf(alarm: Alarm, vessel: Vessel, settings: Settings): number {
  const limitC = waterLimitC(alarm, vessel, settings)
  return limitC === null ? 1 : digitsBeside(vessel.latest.waterC?.value ?? null, limitC)
}

/** The limit that an alarm's own measurement is held against, in the person's unit. */
function limitOf(alarm: Alarm, vessel: Vessel, settings: Settings): string {
  const { rule, limit } = alarm
  if (limit === null) return ''
  const { batch, litres } = vessel
  const limitC = waterLimitC(alarm, vessel, settings)
  if (limitC !== null)
    return `limit ${shortTemperature(limitC, settings.temperatureUnit, digitsOf(alarm, vessel, settings))}`
  switch (rule) {
    case 'air-lost':
      return `needs ${airText(limit * (batch?.litres ?? litres))}`
    case 'air-fading':
      return `calls below ${Math.round(limit)} % of what it was`
    case 'water-level':
      return `limit ${Math.round(limit)} %`
    case 'light-out':
      return `needs ${lightText(limit)}`
    case 'device-silent':
      return `calls after ${exactly(limit * 1000)}`
    default:
      return ''
  }
}

/** What the alarm's own measurement says now, and what it should be. `live` is false while the page has no connection. */
export function alarmNow(
  alarm: Alarm,
  vessel: Vessel | undefined,
  settings: Settings,
  nowMs: number,
  live: boolean,
  trend: Trend | null,
): AlarmNow {
  if (!vessel) return ofRoom(alarm, live)
  return {
    ...measuredNow(alarm, vessel, settings, nowMs, live, trend),
    against: limitOf(alarm, vessel, settings),
  }
}

/** How many devices are silent by now; of the room's other alarms there is no number. */
function ofRoom({ rule, value, clearedAt }: Alarm, live: boolean): AlarmNow {
  const isSilent = rule === 'power-lost' && value !== null && clearedAt === null
  const silent = isSilent ? `${value} devices silent` : ''
  return { value: silent, told: isSilent ? `${silent} ${live ? 'now' : 'when last heard'}` : '', against: '' }
}

type Measured = Omit<AlarmNow, 'against'>

function measuredNow(
  alarm: Alarm,
  vessel: Vessel,
  settings: Settings,
  nowMs: number,
  live: boolean,
  trend: Trend | null,
): Measured {
  const { waterC, roomC, airLpm, lightLx } = vessel.latest
  const ofS = vessel.silentAfterS
  const measured = (
    latest: Latest | null,
    write: (value: number) => string,
    writeShort = write,
  ): Measured => {
    if (!latest) return { value: 'not known', told: 'not known now' }
    if (latest.quality !== 'good' || latest.value === null) {
      const fault = faultWord(latest.quality) || 'no value'
      return { value: fault, told: `now: ${fault}` }
    }
    const value = writeShort(latest.value)
    const whole = write(latest.value)
    const ageMs = nowMs - Date.parse(latest.at)
    if (!live) return { value, told: `${whole} when last heard` }
    if (
      ageMs > quietMs(settings, latest === airLpm ? ofS?.air : latest === lightLx ? ofS?.light : ofS?.water)
    )
      return { value, told: `${whole}, ${duration(ageMs)} ago` }
    return { value, told: `${whole} now` }
  }
  switch (alarm.rule) {
    case 'water-heading-hot':
    case 'water-too-hot':
    case 'water-too-cool':
    case 'probe-fault':
    case 'probe-out-of-water': {
      const unit = settings.temperatureUnit
      const digits = digitsOf(alarm, vessel, settings)
      const now = measured(
        waterC,
        value => temperatureText(value, unit, digits),
        value => shortTemperature(value, unit, digits),
      )
      return trend !== null && now.told.endsWith(' now') ? { ...now, told: `${now.told}, ${trend}` } : now
    }
    case 'air-lost':
    case 'air-fading':
      return measured(airLpm, airText)
    case 'light-out':
      return measured(lightLx, lightText)
    case 'harvest-missed': {
      const overMs = nowMs - Date.parse(vessel.forecast?.harvest.until ?? '')
      if (!(overMs > 0)) return { value: '', told: '' }
      return { value: `${duration(overMs)} over`, told: `window over for ${duration(overMs)}` }
    }
    case 'water-level': {
      const percent = alarm.value === null ? '' : `${Math.round(alarm.value)} %`
      return { value: percent, told: percent === '' ? '' : `fell to ${percent} of where it stood` }
    }
    // What these are about, no sensor of the vessel measures.
    case 'power-lost':
    case 'disk-full':
    case 'store-slow':
    case 'clock-jumped':
    case 'channel-failing':
    case 'backup-overdue':
    case 'data-restored':
      return { value: '', told: '' }
    case 'device-silent': {
      const heardMs = Math.max(
        ...[waterC, roomC, airLpm, lightLx].map(latest => (latest ? Date.parse(latest.at) : -Infinity)),
      )
      if (!Number.isFinite(heardMs)) return { value: 'never heard', told: 'never heard' }
      const isOld = (latest: Latest) =>
        nowMs - Date.parse(latest.at) > quietMs(settings, latest === airLpm ? ofS?.air : ofS?.water)
      const silent = [
        { name: 'water', latest: waterC },
        { name: 'air', latest: airLpm },
      ].flatMap(({ name, latest }) => (latest && isOld(latest) ? [{ name, latest }] : []))
      const [first] = silent
      // The device is heard, and one of its sensors is not: say which.
      if (first && nowMs - heardMs <= quietMs(settings)) {
        const value = `${silent.map(({ name }) => name).join(', ')}: none for ${duration(nowMs - Date.parse(first.latest.at))}`
        return { value, told: value }
      }
      const value = `heard ${duration(nowMs - heardMs)} ago`
      return { value, told: `last ${value}` }
    }
  }
}

/** The alarm's words without its action: how it began, and what follows the action. */
export function aroundAction({ text, action }: Pick<Alarm, 'text' | 'action'>): {
  began: string
  then: string
} {
  const at = action === '' ? -1 : text.indexOf(action)
  if (at < 0) return { began: text, then: '' }
  return { began: text.slice(0, at).trim(), then: text.slice(at + action.length).trim() }
}
