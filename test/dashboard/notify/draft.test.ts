import { describe, expect, it } from 'vitest'
import type { NotifySettings } from '../../../broker/web/api/notify.ts'
import { ChangeNotify } from '../../../broker/web/api/notify.ts'
import {
  asSent,
  inForm,
  inOrder,
  placeOf,
  withoutPerson,
  withPerson,
} from '../../../dashboard/notify/draft.ts'

const address = {
  id: 'a1',
  kind: 'email',
  address: 'keeper@example.org',
  label: 'mail',
  fromPriority: 'low',
  reminders: true,
} as const
const person = (id: string, afterMinutes: number): NotifySettings['people'][number] => ({
  id,
  name: `Keeper ${id}`,
  afterMinutes,
  hours: null,
  criticalAnyHour: true,
  addresses: [
    { ...address, id: `${id}-a` },
    { ...address, id: `${id}-p`, kind: 'push', address: null },
  ],
})
const settings: NotifySettings = {
  people: [person('p1', 10), person('p2', 0)],
  tellWhenOver: false,
  publicUrl: 'http://192.168.1.20:8080',
  linkBase: 'http://192.168.1.20:8080',
  email: { host: 'h', port: 465, security: 'tls', user: 'me', from: 'a@example.org', hasPassword: true },
  webhook: { hasSecret: true },
  push: { contact: null },
  channels: [],
}

describe('what is sent back of who is called', () => {
  it('fits what the broker takes, and leaves secrets and subscriptions as they are', () => {
    const sent = asSent(settings)
    expect(ChangeNotify.parse(sent)).toEqual(sent)
    expect(sent.email).not.toHaveProperty('password')
    expect(sent.email).not.toHaveProperty('hasPassword')
    expect(sent.webhook).toEqual({})
    expect(sent.people[0]!.addresses[0]).toHaveProperty('address', 'keeper@example.org')
    expect(sent.people[0]!.addresses[1]).not.toHaveProperty('address')
    expect(sent).toMatchObject({ tellWhenOver: false, publicUrl: 'http://192.168.1.20:8080' })
  })

  it('changes one and keeps the place of everybody, adds at the end, and takes out', () => {
    const changed = withPerson(settings, { ...person('p2', 5), addresses: [] })
    expect(changed.at).toBe(1)
    expect(changed.sent.people.map(({ id, afterMinutes }) => [id, afterMinutes])).toEqual([
      ['p1', 10],
      ['p2', 5],
    ])
    const fresh = {
      name: 'New',
      afterMinutes: 0,
      hours: null,
      criticalAnyHour: true,
      addresses: [],
    }
    expect(withPerson(settings, fresh)).toMatchObject({ at: 2, sent: { people: { length: 3 } } })
    expect(withoutPerson(settings, 'p1').people.map(({ id }) => id)).toEqual(['p2'])
    expect([placeOf(settings, 'p2'), placeOf(settings, undefined)]).toEqual([1, 2])
  })

  it('is shown in the order of calling', () => {
    expect(inOrder(settings.people).map(({ id }) => id)).toEqual(['p2', 'p1'])
  })
})

it('what is wrong with somebody who was sent stands beside the fields of their own form, wherever its addresses moved', () => {
  const wrong = new Map([
    ['people.2.name', 'Write a name'],
    ['people.2.addresses.1.address', 'Write one e-mail address'],
    ['people.0.name', 'Of another person'],
  ])
  expect([...inForm(wrong, 2, [0, 4])]).toEqual([
    ['name', 'Write a name'],
    ['addresses.4.address', 'Write one e-mail address'],
    ['people.0.name', 'Of another person'],
  ])
})
