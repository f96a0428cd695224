import type { Address, NotifySettings, Person } from '../../../broker/notify/people.ts'
import { noSettings } from '../../../broker/notify/people.ts'
import { PLAIN, type Alarm } from '../../../broker/rules/alarm.ts'
import { SENT_MS } from './message.ts'

export function anAddress(id: string, more: Partial<Address> = {}): Address {
  return {
    id,
    kind: 'webhook',
    address: `http://127.0.0.1:9/${id}`,
    label: id,
    fromPriority: 'low',
    reminders: true,
    ...more,
  }
}

export function aPerson(id: string, more: Partial<Person> = {}): Person {
  return {
    id,
    name: `Keeper ${id}`,
    afterMinutes: 0,
    hours: null,
    criticalAnyHour: true,
    addresses: [anAddress(`${id}-a`)],
    ...more,
  }
}

export const settingsOf = (
  people: readonly Person[],
  more: Partial<NotifySettings> = {},
): NotifySettings => ({
  ...noSettings,
  people,
  ...more,
})

export function anAlarm(more: Partial<Alarm> = {}): Alarm {
  return {
    ...PLAIN,
    id: 'x1',
    vesselId: 'v1',
    rule: 'water-too-hot',
    state: 'unacknowledged',
    priority: 'high',
    raisedAtMs: SENT_MS,
    announcedAtMs: SENT_MS,
    clearedAtMs: null,
    acknowledgedAtMs: null,
    acknowledgedBy: null,
    reason: 'above-limit',
    action: 'Switch the lamp off.',
    text: 'The water is 30.1 °C. Switch the lamp off.',
    value: 30.1,
    limit: 29.5,
    ...more,
  }
}
