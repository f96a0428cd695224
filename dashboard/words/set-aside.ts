import type { Alarm, Vessel } from '../../broker/web/api/schemas.ts'
import { ALARM_WORD } from './alarm.ts'
import { clockTime, type Zone } from './time.ts'

/** How an alarm is named in a list: what it is, and where. */
export function alarmName(alarm: Pick<Alarm, 'rule' | 'vesselId'>, vessel: string | undefined): string {
  const where = alarm.vesselId === null ? '' : `, ${vessel ?? 'a vessel'}`
  return `${ALARM_WORD[alarm.rule]}${where}`
}

/** Why it calls nobody now, and until when. */
export function asideSentence(alarm: Alarm, cause: string | undefined, zone: Zone): string {
  const until = (time: string) => clockTime(Date.parse(time), zone)
  const by = alarm.setAsideBy === null ? '' : ` by ${alarm.setAsideBy}`
  if (alarm.state === 'out-of-service') return `out of service${by} until it is returned`
  if (alarm.state === 'shelved' && alarm.shelvedUntil !== null) {
    const once = alarm.shelvedOnce ? 'until it is over, at most ' : ''
    return `shelved${by} ${once}until ${until(alarm.shelvedUntil)}`
  }
  if (alarm.causedBy !== null) return cause === undefined ? 'has another cause' : `because of: ${cause}`
  if (alarm.suppressedUntil !== null) return `hushed for the work until ${until(alarm.suppressedUntil)}`
  return 'calls nobody now'
}

const WORK = { harvest: 'Harvest', 'set-up': 'Set-up' } as const

/** What goes on at a vessel and what is silent for it. */
export function workSentence({ name, suppression }: Vessel, zone: Zone): string {
  if (suppression === null) return ''
  const until = clockTime(Date.parse(suppression.until), zone)
  return `${WORK[suppression.reason]} at ${name}: air and light call nobody until ${until}`
}
