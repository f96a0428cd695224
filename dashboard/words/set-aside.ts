import type { Vessel } from '../../broker/web/api/vessels.ts'
import type { Alarm, Settings } from '../../broker/web/api/schemas.ts'
import { ALARM_WORD, hasCome } from './alarm.ts'
import { duration, exactly, moment, type Zone } from './time.ts'

/** How an alarm is named in a list: what it is, and where. A warning that has come is named as what it warned of. */
export function alarmName(
  alarm: Pick<Alarm, 'rule' | 'vesselId'> & Partial<Pick<Alarm, 'value'>>,
  vessel: string | undefined,
): string {
  const where = alarm.vesselId === null ? '' : `, ${vessel ?? 'a vessel'}`
  const { rule, value = null } = alarm
  return `${ALARM_WORD[hasCome({ rule, value }) ? 'water-too-hot' : rule]}${where}`
}

/** Why it calls nobody now, and until when. */
export function asideSentence(alarm: Alarm, cause: string | undefined, nowMs: number, zone: Zone): string {
  const until = (time: string) => endsAt(time, nowMs, zone)
  const by = alarm.setAsideBy === null ? '' : ` by ${alarm.setAsideBy}`
  if (alarm.state === 'out-of-service') {
    const end = alarm.outUntil === undefined ? 'it is returned' : endsAt(alarm.outUntil, nowMs, zone)
    return `out of service${by} until ${end}${alarm.outWhy === undefined ? '' : `: ${alarm.outWhy}`}`
  }
  if (alarm.state === 'shelved' && alarm.shelvedUntil !== null) {
    const once = alarm.shelvedOnce ? 'until it is over, at most ' : ''
    return `put off${by} ${once}until ${until(alarm.shelvedUntil)}`
  }
  if (alarm.causedBy !== null) return cause === undefined ? 'has another cause' : `because of: ${cause}`
  if (alarm.suppressedUntil !== null) return `hushed for the work until ${until(alarm.suppressedUntil)}`
  return 'calls nobody now'
}

/** What stands behind a folded line: "3 more: Cone 1, Cone 2". Each place once. */
export function foldedWords(places: readonly string[], isAll = false): string {
  const many = isAll ? (places.length === 1 ? '1 alarm' : `${places.length} alarms`) : `${places.length} more`
  return `${many}: ${[...new Set(places)].join(', ')}`
}

/** How long a rule is to be out of service, as a choice: minutes, 0 without an end. */
export function outFor(minutes: number): string {
  if (minutes === 0) return 'Until I return it'
  if (minutes < 1440) return `For ${minutes / 60} h`
  return minutes === 1440 ? 'For a day' : `For ${minutes / 1440} days`
}

const WORK = { harvest: 'Harvest', 'set-up': 'Set-up', calibration: 'Calibration' } as const

/** What goes on at a vessel and what is silent for it. */
export function workSentence({ name, suppression }: Vessel, nowMs: number, zone: Zone): string {
  if (suppression === null) return ''
  const until = endsAt(suppression.until, nowMs, zone)
  const silent = suppression.reason === 'calibration' ? 'its water probe calls' : 'air and light call'
  return `${WORK[suppression.reason]} at ${name}: ${silent} nobody until ${until}`
}

/** What happens once the work is said to be done: what is not right again by then calls. */
export const watchedAgain = ({ rules }: Settings): string =>
  `Air and light are watched again. If the air is still off, it calls after ${exactly(rules['air-lost'].onDelayS * 1000)}.`

/** How many alarms are silent and what is worked at, in the line that opens the list of them. */
export function asideSummary(alarms: number, working: readonly Vessel[], nowMs: number): string {
  const silent =
    alarms === 0 ? [] : [alarms === 1 ? '1 alarm calls nobody now' : `${alarms} alarms call nobody now`]
  const [only, ...others] = working
  if (!only?.suppression) return silent.join('')
  const work =
    others.length > 0
      ? `work at ${working.length} vessels`
      : `${WORK[only.suppression.reason].toLowerCase()} at ${only.name}, ${left(only.suppression.until, nowMs)}`
  const all = [...silent, work].join('; ')
  return `${all.slice(0, 1).toUpperCase()}${all.slice(1)}`
}

/** `12:40, 24 min left`, with its day where that is not today. */
const endsAt = (time: string, nowMs: number, zone: Zone): string =>
  `${moment(Date.parse(time), nowMs, zone)}, ${left(time, nowMs)}`
/** Rounded up: what ends in half a minute has a minute left. */
const left = (time: string, nowMs: number): string =>
  `${duration(Math.max(1, Math.ceil((Date.parse(time) - nowMs) / 60_000)) * 60_000)} left`
