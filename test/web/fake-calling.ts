import { RoomError, RoomErrorKind } from '../../broker/room/contract.ts'
import type { Alarm } from '../../broker/rules/alarm.ts'
import type { Calling } from '../../broker/web/calling.ts'
import { NOW_MS } from './examples.ts'

/** Somebody who calls nobody: one person with one address, and one link that is good. */
export interface FakeCalling extends Calling {
  /** The alarm that the link `good` is about. */
  alarm: Alarm | null
  /** What was sent as new settings. */
  readonly changes: unknown[]
  readonly answered: string[]
}

export function fakeCalling(): FakeCalling {
  const changes: unknown[] = []
  const answered: string[] = []
  const fake: FakeCalling = {
    alarm: null,
    changes,
    answered,
    settings: () => ({
      people: [
        {
          id: 'p1',
          name: 'The keeper',
          afterMinutes: 0,
          hours: { from: '07:00', to: '22:00', zone: 'Europe/Vienna' },
          criticalAnyHour: true,
          addresses: [
            {
              id: 'a1',
              kind: 'email',
              address: 'keeper@example.org',
              label: 'mail',
              fromPriority: 'low',
              reminders: true,
            },
          ],
        },
      ],
      tellWhenOver: true,
      publicUrl: null,
      linkBase: 'http://127.0.0.1:8080',
      email: null,
      webhook: { hasSecret: true },
      push: { contact: null },
      channels: [{ kind: 'email', usable: false, failing: false }],
    }),
    async change(sent) {
      changes.push(sent)
      return fake.settings()
    },
    async test(personId) {
      if (personId !== 'p1')
        throw new RoomError(RoomErrorKind.notFound, 'Cannot send a test: nobody has this address')
      return { arrived: false, words: 'The receiver answered with status 500' }
    },
    async recent(limit) {
      const delivery = {
        id: 'x1.1.raised.p1.a1',
        kind: 'email',
        about: 'alarm',
        occasion: 'raised',
        title: 'Too hot, Cone 1: Switch the lamp off',
        priority: 'critical',
        alarmId: 'x1',
        person: 'The keeper',
        label: 'mail',
        state: 'waiting',
        attempts: 1,
        atMs: NOW_MS,
        nextAtMs: NOW_MS + 1000,
        doneAtMs: null,
        error: 'The mail server cannot be used',
      } as const
      return [delivery].slice(0, limit)
    },
    async openLink(token) {
      return token === 'good' ? { alarm: fake.alarm, where: 'Cone 1', person: 'The keeper' } : null
    },
    async answerLink(token) {
      if (token !== 'good') return false
      answered.push(token)
      return true
    },
  }
  return fake
}
