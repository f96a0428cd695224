import type { ChangeNotify, NotifySettings, OutboxList } from '../../../broker/web/api/notify.ts'
import { iso } from './hatch.ts'

type Person = NotifySettings['people'][number]
type Address = Person['addresses'][number]

const address = (id: string, kind: Address['kind'], more: Partial<Address> = {}): Address => ({
  id,
  kind,
  label: '',
  fromPriority: 'low',
  reminders: false,
  address: null,
  ...more,
})

/** Invented people who are called: one at once, one when nobody answers, one whose address takes nothing. */
export const notify = (): NotifySettings => ({
  people: [
    {
      id: 'p1',
      name: 'Kim',
      afterMinutes: 0,
      hours: null,
      criticalAnyHour: true,
      addresses: [
        address('a1', 'push', { label: 'night phone', reminders: true }),
        address('a2', 'email', { address: 'kim@example.org', fromPriority: 'high' }),
      ],
    },
    {
      id: 'p2',
      name: 'Sam',
      afterMinutes: 10,
      hours: { from: '07:00', to: '22:00', zone: 'Europe/Vienna' },
      criticalAnyHour: true,
      addresses: [
        address('a3', 'webhook', { address: 'https://broken.example/hook', fromPriority: 'critical' }),
      ],
    },
  ],
  tellWhenOver: true,
  publicUrl: null,
  linkBase: 'http://192.168.1.20:8080',
  email: {
    host: 'mail.example.org',
    port: 465,
    security: 'tls',
    user: null,
    from: 'hatchery@example.org',
    hasPassword: true,
  },
  webhook: { hasSecret: false },
  push: { contact: null },
  channels: [
    { kind: 'email', usable: true, failing: false },
    { kind: 'webhook', usable: true, failing: true },
    { kind: 'push', usable: true, failing: false },
  ],
})

/** As the broker keeps what is sent: new ids for who is new, and an address or a password that was left out stays. */
export function notifyIn(before: NotifySettings, sent: ChangeNotify): NotifySettings {
  const kept = new Map(
    before.people.flatMap(({ addresses }) => addresses.map(each => [each.id, each] as const)),
  )
  let made = 0
  const fresh = (): string => `n${++made}-${kept.size}`
  return {
    ...before,
    people: sent.people.map(person => ({
      ...person,
      id: person.id ?? fresh(),
      addresses: person.addresses.map(each => ({
        ...each,
        id: each.id ?? fresh(),
        address: each.address ?? kept.get(each.id ?? '')?.address ?? null,
      })),
    })),
    tellWhenOver: sent.tellWhenOver,
    publicUrl: sent.publicUrl,
    email: sent.email && mailIn(before.email, sent.email),
    push: sent.push ?? before.push,
    webhook: {
      hasSecret: sent.webhook.secret === undefined ? before.webhook.hasSecret : sent.webhook.secret !== null,
    },
  }
}

function mailIn(
  before: NotifySettings['email'],
  { password, ...sent }: NonNullable<ChangeNotify['email']>,
): NotifySettings['email'] {
  const hasPassword = password === undefined ? (before?.hasPassword ?? false) : password !== null
  return { ...sent, hasPassword }
}

/** What was sent of late: arrived, not through yet, given up. */
export function deliveries(nowMs: number): OutboxList['deliveries'] {
  const one = (
    id: string,
    minutesAgo: number,
    more: Partial<OutboxList['deliveries'][number]>,
  ): OutboxList['deliveries'][number] => ({
    id,
    kind: 'push',
    about: 'alarm',
    occasion: 'raised',
    title: 'Switch the lamp off at a dry plug: Number 4',
    priority: 'critical',
    alarmId: 'a1',
    person: 'Kim',
    label: 'night phone',
    state: 'delivered',
    attempts: 1,
    at: iso(nowMs - minutesAgo * 60_000),
    nextAt: null,
    doneAt: iso(nowMs - minutesAgo * 60_000 + 800),
    error: null,
    ...more,
  })
  const refused = { kind: 'webhook', person: 'Sam', label: '', doneAt: null, error: 'HTTP 503' }
  return [
    one('d1', 4, {}),
    one('d2', 4, { ...refused, state: 'waiting', attempts: 3, nextAt: iso(nowMs + 40_000) }),
    one('d3', 300, { ...refused, state: 'failed', attempts: 12, doneAt: iso(nowMs - 200 * 60_000) }),
  ]
}
