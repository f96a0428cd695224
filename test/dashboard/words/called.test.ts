import { describe, expect, it } from 'vitest'
import type { NotifySettings, OutboxList } from '../../../broker/web/api/notify.ts'
import {
  becameOf,
  isOwnMachine,
  toWhom,
  uncalledText,
  whatIsMissing,
  mailHint,
  mailMissing,
  whenCalled,
  whereLinksLead,
} from '../../../dashboard/words/called.ts'

const NOW = Date.parse('2026-11-25T06:40:00Z')
const zone = { locale: 'en-GB', timeZone: 'UTC' }
const person: NotifySettings['people'][number] = {
  id: 'p1',
  name: 'The keeper',
  afterMinutes: 0,
  hours: null,
  criticalAnyHour: true,
  addresses: [
    {
      id: 'a1',
      kind: 'email',
      address: 'k@example.org',
      label: 'mail',
      fromPriority: 'low',
      reminders: true,
    },
  ],
}
const hours = { from: '07:00', to: '22:00', zone: 'Europe/Vienna' }

describe('when somebody is called', () => {
  it.each([
    [person, 'At once, at any hour.'],
    [{ ...person, afterMinutes: 10 }, 'When nobody has answered for 10 min, at any hour.'],
    [{ ...person, hours }, 'At once, 07:00 to 22:00 (Europe/Vienna), critical at any hour.'],
    [{ ...person, hours, criticalAnyHour: false }, 'At once, 07:00 to 22:00 (Europe/Vienna).'],
  ])('%#', (who, words) => expect(whenCalled(who, { locale: 'de-AT' })).toBe(words))
  it('goes by the reader’s clock', () =>
    expect(whenCalled({ ...person, hours }, { locale: 'en-US' })).toMatch(/7:00\u00a0AM to 10:00\u00a0PM/))
})

describe('what is missing', () => {
  const settings = (people: (typeof person)[], usable: boolean) =>
    ({ people, channels: [{ kind: 'email', usable, failing: false }] }) as unknown as NotifySettings
  it('is people, addresses or a mail server, and nothing once somebody can be reached', () => {
    expect(whatIsMissing(settings([], true))).toMatch(/^Nobody is called/)
    expect(whatIsMissing(settings([{ ...person, addresses: [] }], true))).toMatch(/nobody has an address/)
    expect(whatIsMissing(settings([person], false))).toMatch(/needs a mail server/)
    expect(whatIsMissing(settings([person], true))).toBe('')
    const hook = { ...person.addresses[0]!, kind: 'webhook' as const }
    const both = settings([{ ...person, addresses: [...person.addresses, hook] }], false)
    const reached = {
      ...both,
      channels: [...both.channels, { ...both.channels[0]!, kind: 'webhook', usable: true }],
    }
    expect(whatIsMissing(reached as NotifySettings)).toBe('')
    expect(mailMissing(reached as NotifySettings)).toMatch(/^E-mail does not go out: no mail server/)
    expect([true, false].map(usable => mailMissing(settings([], usable)))).toEqual(['', ''])
    expect(mailHint(settings([person], false))).toMatch(/^E-mail does not go out yet/)
    expect(mailHint(settings([person], true))).toBeUndefined()
  })
})

describe('what the room says of it', () => {
  const settings = (people: (typeof person)[], usable: boolean) =>
    ({ people, channels: [{ kind: 'email', usable, failing: false }] }) as unknown as NotifySettings
  it('is that nobody is called at night, or why nobody can be, and nothing once somebody is', () => {
    expect(uncalledText(settings([], true))).toBe(
      'Nobody is called at night: alarms only show and sound on open screens.',
    )
    expect(uncalledText(settings([person], false))).toBe(
      'Nobody can be reached: e-mail needs a mail server. Alarms only show and sound on open screens.',
    )
    expect(uncalledText(settings([person], true))).toBe('')
  })
})

describe('where links lead', () => {
  it('is told, and that a phone does not get there when it does not', () => {
    expect(whereLinksLead('http://192.168.1.20:8080')).toBe('Links begin with http://192.168.1.20:8080.')
    for (const base of ['http://127.0.0.1:8080', 'http://localhost:8080', 'http://[::1]:8080'])
      expect(whereLinksLead(base)).toMatch(/on this machine only.*--lan/)
    expect(isOwnMachine('http://[::1]:8080/x')).toBe(true)
    expect(isOwnMachine('https://hatch.example.org')).toBe(false)
    expect(whereLinksLead(null)).toBe('Messages have no links.')
  })
})

describe('what became of a message', () => {
  const delivery: OutboxList['deliveries'][number] = {
    id: 'd1',
    kind: 'email',
    about: 'alarm',
    occasion: 'raised',
    title: 'Switch the lamp off',
    priority: 'critical',
    alarmId: 'x1',
    person: 'The keeper',
    label: 'mail',
    state: 'waiting',
    attempts: 3,
    at: '2026-11-25T06:39:00Z',
    nextAt: '2026-11-25T06:41:00Z',
    doneAt: null,
    error: 'The mail server is busy',
  }
  it('says how often it was tried, what went wrong, and when it is tried again', () => {
    expect(becameOf(delivery, NOW, zone)).toBe(
      'Not through yet, 3 tries: The mail server is busy. Next try 06:41.',
    )
    const done = { ...delivery, state: 'delivered', error: null, nextAt: null, attempts: 1 } as const
    expect(becameOf(done, NOW, zone)).toBe('Delivered.')
    expect(becameOf({ ...delivery, attempts: 0, error: null }, NOW, zone)).toBe('Not through yet.')
  })
  it('says to whom it went', () => {
    expect(toWhom(delivery)).toBe('The keeper, E-mail (mail)')
    expect(toWhom({ ...delivery, person: '', label: '' })).toBe('Somebody who is no longer called, E-mail')
  })
})
