import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { ChannelKind } from '../../broker/notify/contract.ts'
import { withinHours } from '../../broker/notify/hours.ts'
import type { Person } from '../../broker/notify/people.ts'
import {
  plan,
  planOver,
  planReminder,
  withAnswer,
  withCall,
  withDeaf,
  isAgain,
  MOST_ROUNDS,
  withTold,
  type Telling,
} from '../../broker/notify/plan.ts'
import { AlarmState, Priority, type Alarm } from '../../broker/rules/alarm.ts'
import { SENT_MS } from './rig/message.ts'
import { aPerson, anAddress, anAlarm, settingsOf } from './rig/people.ts'

const MINUTE = 60_000
const kinds = (...names: ChannelKind[]) => new Set<ChannelKind>(names)
const all = { usable: kinds('email', 'webhook', 'push'), failing: kinds() }
const nobody: Telling = { alarmId: 'x1', beganAtMs: SENT_MS, told: [] }
/** 03:12 in UTC, 04:12 in Vienna. */
const byDay = { from: '07:00', to: '22:00', zone: 'Europe/Vienna' }

function called(
  people: Person[],
  more: { alarm?: Partial<Alarm>; telling?: Telling; afterMs?: number } = {},
) {
  const { alarm, telling = nobody, afterMs = 0 } = more
  return plan(anAlarm(alarm), telling, settingsOf(people), all, SENT_MS + afterMs).map(
    ({ person, address, occasion }) => `${person.id} ${address.id} ${occasion}`,
  )
}

describe('who is told', () => {
  it('comes at once those who are called at once, by each of their addresses for that priority', () => {
    const addresses = [
      anAddress('mail', { kind: 'email' }),
      anAddress('loud', { kind: 'push', fromPriority: 'critical' }),
    ]
    const people = [aPerson('p1', { addresses }), aPerson('p2', { afterMinutes: 10 })]
    expect(called(people)).toEqual(['p1 mail raised'])
    expect(called(people, { alarm: { priority: 'critical' } })).toEqual(['p1 mail raised', 'p1 loud raised'])
  })

  it('comes the next when nobody has answered for so long, to the millisecond, and nobody once somebody has', () => {
    const people = [aPerson('p1'), aPerson('p2', { afterMinutes: 10 }), aPerson('p3', { afterMinutes: 30 })]
    const telling = { ...nobody, told: [{ personId: 'p1', callMs: SENT_MS, addressIds: ['p1-a'] }] }
    expect(called(people, { telling, afterMs: 10 * MINUTE - 1 })).toEqual([])
    expect(called(people, { telling, afterMs: 10 * MINUTE })).toEqual(['p2 p2-a escalated'])
    expect(called(people, { telling, afterMs: 31 * MINUTE })).toHaveLength(2)
    for (const state of [
      'acknowledged',
      'latched-acknowledged',
      'shelved',
      'suppressed-by-design',
      'out-of-service',
      'normal',
    ] as const)
      expect(called(people, { telling, afterMs: 31 * MINUTE, alarm: { state } })).toEqual([])
  })

  it('comes the first who may be called at that hour, at once, when nobody else may', () => {
    const people = [
      aPerson('p1', { hours: byDay, criticalAnyHour: false }),
      aPerson('p2', { afterMinutes: 10 }),
      aPerson('p3', { afterMinutes: 15 }),
    ]
    expect(called(people)).toEqual(['p2 p2-a raised'])
    const telling = { ...nobody, told: [{ personId: 'p2', callMs: SENT_MS, addressIds: ['p2-a'] }] }
    expect(called(people, { telling, afterMs: 5 * MINUTE })).toEqual(['p3 p3-a escalated'])
  })

  it('comes the next at once when somebody is reached by none of their addresses', () => {
    const people = [
      aPerson('p1', { addresses: [anAddress('mail'), anAddress('hook')] }),
      aPerson('p2', { afterMinutes: 10 }),
      aPerson('p3', { afterMinutes: 30 }),
    ]
    const told = { personId: 'p1', callMs: SENT_MS, addressIds: ['mail', 'hook'] }
    const deaf = (...deafIds: string[]) => ({ ...nobody, told: [{ ...told, deafIds }] })
    expect(called(people, { telling: deaf('mail') })).toEqual([])
    expect(called(people, { telling: deaf('mail', 'hook') })).toEqual(['p2 p2-a raised'])
    expect(withDeaf(deaf('mail'), 'p1', 'hook')).toEqual(deaf('mail', 'hook'))
    // When it calls again, everybody is tried anew.
    const again = { announcedAtMs: SENT_MS + MINUTE }
    expect(called(people, { telling: deaf('mail', 'hook'), alarm: again })).toHaveLength(2)
  })

  it('comes somebody when their hours begin, if it still stands', () => {
    const people = [aPerson('p1', { hours: byDay })]
    expect(called(people)).toEqual([])
    expect(called(people, { afterMs: 3 * 3_600_000 })).toEqual(['p1 p1-a raised'])
  })

  it('comes anybody for what is critical, at any hour, unless they said otherwise', () => {
    const alarm = { priority: Priority.critical }
    expect(called([aPerson('p1', { hours: byDay })], { alarm })).toEqual(['p1 p1-a raised'])
    expect(called([aPerson('p1', { hours: byDay, criticalAnyHour: false })], { alarm })).toEqual([])
  })

  it('comes those who were told once more when it calls again, and only then', () => {
    const telling = { ...nobody, told: [{ personId: 'p1', callMs: SENT_MS, addressIds: ['p1-a'] }] }
    const people = [aPerson('p1'), aPerson('p2', { afterMinutes: 60 })]
    expect(called(people, { telling, afterMs: MINUTE })).toEqual([])
    const again = { announcedAtMs: SENT_MS + MINUTE }
    expect(called(people, { telling, afterMs: MINUTE, alarm: again })).toEqual(['p1 p1-a again'])
    expect(called(people, { alarm: { announcedAtMs: null } })).toEqual([])
  })

  it('counts anew from the call with which an alarm comes back that somebody had answered or set aside', () => {
    const people = [aPerson('p1'), aPerson('p2', { afterMinutes: 10 })]
    const before = {
      ...nobody,
      told: [
        { personId: 'p1', callMs: SENT_MS, addressIds: ['p1-a'] },
        { personId: 'p2', callMs: SENT_MS, addressIds: ['p2-a'] },
      ],
    }
    const backMs = SENT_MS + 60 * MINUTE
    const alarm = { announcedAtMs: backMs }
    const telling = withCall(withAnswer(before), backMs, backMs)
    expect(called(people, { telling, alarm, afterMs: 60 * MINUTE })).toEqual(['p1 p1-a again'])
    const told = { ...telling, told: [{ ...before.told[0]!, callMs: backMs }, before.told[1]!] }
    expect(called(people, { telling: told, alarm, afterMs: 70 * MINUTE - 1 })).toEqual([])
    expect(called(people, { telling: told, alarm, afterMs: 70 * MINUTE })).toEqual(['p2 p2-a escalated'])
    // Without an answer in between it goes on as it was, and what is over is told to all who were ever called.
    expect(withCall(before, backMs, backMs)).toBe(before)
    expect(planOver(telling, settingsOf(people), all).map(({ person }) => person.id)).toEqual(['p1', 'p2'])
  })

  it('hears of what has become worse since its call by the addresses that are kept for that, once', () => {
    const addresses = [
      anAddress('mail', { kind: 'email' }),
      anAddress('loud', { kind: 'push', fromPriority: 'critical' }),
    ]
    const people = [aPerson('p1', { addresses }), aPerson('p2', { addresses: [addresses[1]!] })]
    const told = { personId: 'p1', callMs: SENT_MS, addressIds: ['mail'] }
    const telling = { ...nobody, told: [told] }
    const worse = { priority: Priority.critical, worseSinceMs: SENT_MS + MINUTE }
    expect(called(people, { telling, alarm: worse })).toEqual(['p1 loud again', 'p2 loud raised'])
    const both = { ...nobody, told: [{ ...told, addressIds: ['mail', 'loud'] }] }
    expect(called([people[0]!], { telling: both, alarm: worse })).toEqual([])
    // An address that was added since is told of the next call, not of this one.
    expect(called([people[0]!], { telling, alarm: { priority: Priority.critical } })).toEqual([])
  })

  it('hears of a failing channel by the others alone', () => {
    const addresses = [anAddress('mail', { kind: 'email' }), anAddress('hook')]
    const channels = { ...all, failing: kinds('email') }
    const settings = settingsOf([aPerson('p1', { addresses })])
    const by = (rule: Alarm['rule']) =>
      plan(anAlarm({ rule }), nobody, settings, channels, SENT_MS).map(({ address }) => address.id)
    expect(by('channel-failing')).toEqual(['hook'])
    expect(by('water-too-hot')).toEqual(['mail', 'hook'])
  })

  it('hears that it is over, by what called them, if that is wanted', () => {
    const addresses = [anAddress('mail', { kind: 'email' }), anAddress('hook')]
    const people = [aPerson('p1', { addresses }), aPerson('p2')]
    const telling = { ...nobody, told: [{ personId: 'p1', callMs: SENT_MS, addressIds: ['hook', 'gone'] }] }
    const over = planOver(telling, settingsOf(people), all)
    expect(over.map(({ address, occasion }) => [address.id, occasion])).toEqual([['hook', 'over']])
    expect(planOver(telling, settingsOf(people, { tellWhenOver: false }), all)).toEqual([])
  })

  it('is reminded quietly, within the hours, where they chose it', () => {
    const addresses = [
      anAddress('mail', { kind: 'email' }),
      anAddress('hook', { reminders: false }),
      anAddress('loud', { kind: 'push' }),
    ]
    const settings = settingsOf([aPerson('p1', { addresses, hours: byDay })])
    const at = (ms: number) =>
      planReminder(settings, kinds('email', 'webhook'), SENT_MS, ms).map(({ address }) => address.id)
    expect(at(SENT_MS)).toEqual([])
    expect(at(SENT_MS + 4 * 3_600_000)).toEqual(['mail'])
  })

  it('is reminded of what falls due once they are there, and in turn while nobody does it', () => {
    const people = [
      aPerson('p1', { addresses: [anAddress('old'), anAddress('new', { remindedSinceMs: SENT_MS })] }),
      aPerson('p2', { afterMinutes: 30 }),
    ]
    const told = (dueMs: number, ms: number) =>
      planReminder(settingsOf(people), kinds('webhook'), dueMs, ms).map(({ address }) => address.id)
    expect(told(SENT_MS - 1, SENT_MS)).toEqual(['old'])
    expect(told(SENT_MS, SENT_MS)).toEqual(['old', 'new'])
    expect(told(SENT_MS, SENT_MS + 30 * MINUTE)).toEqual(['old', 'new', 'p2-a'])
    // Who is the only one that can be reminded need not wait for anybody.
    expect(planReminder(settingsOf(people.slice(1)), kinds('webhook'), SENT_MS, SENT_MS)).toHaveLength(1)
  })
})

describe('whatever the people and the alarm', () => {
  const hours = fc.option(
    fc.record({
      from: fc.constantFrom('00:00', '06:30', '22:00'),
      to: fc.constantFrom('00:00', '07:00', '21:59'),
      zone: fc.constantFrom('UTC', 'Europe/Vienna', 'Asia/Kathmandu', 'America/St_Johns'),
    }),
  )
  const priority = fc.constantFrom(...Object.values(Priority))
  const address = fc.record({
    kind: fc.constantFrom('email' as const, 'webhook' as const, 'push' as const),
    fromPriority: priority,
  })
  const people = fc
    .array(
      fc.record({
        afterMinutes: fc.integer({ min: 0, max: 60 }),
        hours,
        criticalAnyHour: fc.boolean(),
        addresses: fc.array(address, { maxLength: 3 }),
      }),
      { maxLength: 5 },
    )
    .map(list =>
      list.map((each, n) =>
        aPerson(`p${n}`, {
          ...each,
          addresses: each.addresses.map((more, k) => anAddress(`p${n}-${k}`, more)),
        }),
      ),
    )
  const alarm = fc
    .record({ state: fc.constantFrom(...Object.values(AlarmState)), priority })
    .map(more => anAlarm(more))
  const RANK = { low: 0, high: 1, critical: 2 }

  it('nobody is told twice of one call before the time to tell again, outside their hours, below their priority, or after an answer', () => {
    fc.assert(
      fc.property(
        people,
        alarm,
        fc.array(fc.integer({ min: 0, max: 1800 }), { maxLength: 12 }),
        (list, it_, steps) => {
          let telling = nobody
          let nowMs = SENT_MS
          const lastOf = new Map<string, number>()
          const againAfterMs = { low: Infinity, high: 60 * MINUTE, critical: 15 * MINUTE }[it_.priority]
          for (const seconds of steps) {
            nowMs += seconds * 1000
            const planned = plan(it_, telling, settingsOf(list), all, nowMs)
            for (const { person, address: to } of planned) {
              expect(it_.state === 'unacknowledged' || it_.state === 'latched').toBe(true)
              expect(RANK[it_.priority]).toBeGreaterThanOrEqual(RANK[to.fromPriority])
              const anyHour = it_.priority === 'critical' && person.criticalAnyHour
              expect(anyHour || withinHours(person.hours, nowMs)).toBe(true)
              expect(nowMs - (lastOf.get(to.id) ?? -Infinity)).toBeGreaterThanOrEqual(againAfterMs)
            }
            for (const { address: to } of planned) lastOf.set(to.id, nowMs)
            const again = isAgain(it_, telling, nowMs)
            telling = withTold(telling, it_.announcedAtMs!, planned, nowMs, again)
          }
        },
      ),
    )
  })

  it('somebody is told at once if anybody may be called at all, and everybody who may in the end', () => {
    fc.assert(
      fc.property(people, priority, (list, weight) => {
        const it_ = anAlarm({ priority: weight })
        const may = list.filter(
          person =>
            person.addresses.some(each => RANK[weight] >= RANK[each.fromPriority]) &&
            ((weight === 'critical' && person.criticalAnyHour) || withinHours(person.hours, SENT_MS)),
        )
        const first = plan(it_, nobody, settingsOf(list), all, SENT_MS)
        expect(first.length > 0).toBe(may.length > 0)
        // With the clock on the wall held still, an hour and a bit is more than anybody's turn takes.
        const early = { ...nobody, beganAtMs: SENT_MS - 61 * MINUTE }
        const told = new Set(plan(it_, early, settingsOf(list), all, SENT_MS).map(({ person }) => person.id))
        expect([...told].sort()).toEqual(may.map(({ id }) => id).sort())
      }),
    )
  })

  it('is told the same however often it is asked between', () => {
    fc.assert(
      fc.property(
        people,
        fc.array(fc.integer({ min: 0, max: 600 }), { minLength: 1, maxLength: 10 }),
        (list, steps) => {
          // Nobody's hours: they end and begin, and then when one asks does count.
          const anytime = list.map(person => ({
            ...person,
            hours: null,
            addresses: person.addresses.map(to => ({ ...to, fromPriority: Priority.low })),
          }))
          // What is not urgent is not told over again, which would hang on when one asks, too.
          const it_ = anAlarm({ priority: Priority.low })
          const run = (moments: number[]) => {
            let telling = nobody
            const told: string[] = []
            for (const atMs of moments) {
              const planned = plan(it_, telling, settingsOf(anytime), all, atMs)
              told.push(...planned.map(({ address: to }) => to.id))
              telling = withTold(telling, SENT_MS, planned, atMs)
            }
            return told.sort()
          }
          const moments = steps.reduce<number[]>(
            (all_, s) => [...all_, (all_.at(-1) ?? SENT_MS) + s * 1000],
            [],
          )
          expect(run(moments)).toEqual(run([moments.at(-1)!]))
        },
      ),
    )
  })
})

describe('when nobody answers', () => {
  const people = [aPerson('p1'), aPerson('p2', { afterMinutes: 10 })]
  /** Who is told at which minute, asked each half minute for so long. */
  function told(priority: Priority, minutes: number): string[] {
    const it_ = anAlarm({ priority })
    let telling = nobody
    const said: string[] = []
    for (let half = 0; half <= 2 * minutes; half++) {
      const nowMs = SENT_MS + half * (MINUTE / 2)
      const planned = plan(it_, telling, settingsOf(people), all, nowMs)
      said.push(...planned.map(({ person, occasion }) => `${half / 2} ${person.id} ${occasion}`))
      telling = withTold(telling, it_.announcedAtMs!, planned, nowMs, isAgain(it_, telling, nowMs))
    }
    return said
  }

  it('all who were told of a critical alarm are told once more each quarter of an hour', () => {
    expect(told(Priority.critical, 45)).toEqual([
      '0 p1 raised',
      '10 p2 escalated',
      '25 p1 again',
      '25 p2 again',
      '40 p1 again',
      '40 p2 again',
    ])
  })

  it('of a high one each hour, and of a low one not', () => {
    expect(told(Priority.high, 75)).toEqual(['0 p1 raised', '10 p2 escalated', '70 p1 again', '70 p2 again'])
    expect(told(Priority.low, 300)).toEqual(['0 p1 raised', '10 p2 escalated'])
  })

  it('for a day, and no longer', () => {
    expect(told(Priority.critical, 3 * 24 * 60).filter(line => line.endsWith('p1 again'))).toHaveLength(
      MOST_ROUNDS,
    )
  })
})

describe('hours', () => {
  const at = (text: string) => Date.parse(text)
  it.each([
    ['2026-01-10T06:59:59Z', false],
    ['2026-01-10T07:00:00Z', true],
    ['2026-01-10T21:59:59Z', true],
    ['2026-01-10T22:00:00Z', false],
  ])('at %s: %s', (text, within) => {
    expect(withinHours({ from: '07:00', to: '22:00', zone: 'UTC' }, at(text))).toBe(within)
    expect(withinHours({ from: '22:00', to: '07:00', zone: 'UTC' }, at(text))).toBe(!within)
    expect(withinHours({ from: '07:00', to: '07:00', zone: 'UTC' }, at(text))).toBe(true)
  })

  it('follow the clock on the wall through the change to summer time', () => {
    // In 2026 the clocks of the European Union go forward on 29 March at 01:00 UTC (Directive 2000/84/EC, last Sunday of March).
    const hours = { from: '07:00', to: '22:00', zone: 'Europe/Vienna' }
    expect(withinHours(hours, at('2026-03-28T05:30:00Z'))).toBe(false)
    expect(withinHours(hours, at('2026-03-29T05:30:00Z'))).toBe(true)
  })
})
