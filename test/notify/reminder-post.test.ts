import { describe, expect, it } from 'vitest'
import {
  GATHER_MS,
  MOST_NAMED,
  ReminderPost,
  reminderWords,
  SETTLE_MS,
} from '../../broker/notify/reminder-post.ts'
import { toRow } from '../../broker/notify/delivery.ts'
import type { Reminder } from '../../broker/rules/reminders.ts'
import { aPerson, anAddress, settingsOf } from './rig/people.ts'

const T0 = Date.UTC(2026, 0, 10, 3, 12)
const reminder = (id: string, more: Partial<Reminder> = {}): Reminder => ({
  id: `${id}.knock-down`,
  kind: 'knock-down',
  vesselId: id,
  batchId: id,
  dueAtMs: T0 - SETTLE_MS,
  untilMs: T0 + 6 * 3_600_000,
  title: `Knock the ring down in ${id}`,
  text: 'Wash them back down.',
  ...more,
})
const many = (count: number) => Array.from({ length: count }, (_, at) => reminder(`v${at}`))
const settings = settingsOf([aPerson('p1', { addresses: [anAddress('a1'), anAddress('a2')] })])
const now = (nowMs: number) => ({
  settings,
  quiet: new Set(['webhook'] as const),
  nowMs,
  unit: 'C' as const,
  page: (path: string) => `http://hatch.example${path}`,
})

describe('what is sent of reminders', () => {
  it('is one message to each address, with a name that is the same whatever their order', () => {
    const [one, other] = [new ReminderPost(), new ReminderPost()]
    one.due(many(3), T0 - SETTLE_MS)
    other.due(many(3).reverse(), T0 - SETTLE_MS)
    const ids = (post: ReminderPost) => post.take(now(T0)).map(({ message }) => message.id)
    const named = ids(one)
    expect(named).toHaveLength(2)
    expect(new Set(named).size).toBe(2)
    expect(ids(other)).toEqual(named)
    for (const id of named) expect(id).toMatch(/^[\w.-]{1,200}$/)
    expect(one.take(now(T0 + 10 * GATHER_MS))).toEqual([])
  })

  it('waits a minute for what falls due with it', () => {
    const post = new ReminderPost()
    post.due(many(1), T0)
    expect(post.take(now(T0 + SETTLE_MS - 1))).toEqual([])
    post.due(many(3), T0 + SETTLE_MS - 1)
    expect(post.take(now(T0 + SETTLE_MS)).map(({ message }) => message.reminderIds?.length)).toEqual([3, 3])
  })

  it('names so many at the most, and the rest in another', () => {
    const post = new ReminderPost()
    post.due(many(MOST_NAMED + 2), T0 - SETTLE_MS)
    const counts = post.take(now(T0)).map(({ message }) => message.reminderIds?.length)
    expect(counts).toEqual([MOST_NAMED, 2, MOST_NAMED, 2])
  })

  it('is known again after a restart, one by one, and so is when it was', () => {
    const post = new ReminderPost()
    post.due(many(3), T0 - SETTLE_MS)
    const rows = post.take(now(T0)).map(toRow)
    const again = new ReminderPost()
    again.restore(rows)
    again.due([...many(3), reminder('late')], -Infinity)
    expect(again.take(now(T0 + GATHER_MS - 1))).toEqual([])
    const titles = again.take(now(T0 + GATHER_MS)).map(({ message }) => message.title)
    expect(titles).toEqual(['Knock the ring down in late', 'Knock the ring down in late'])
  })

  it('does not wait for a time that a clock which was set back has put ahead', () => {
    const post = new ReminderPost()
    post.due(many(1), T0 - SETTLE_MS)
    post.take(now(T0))
    post.due([...many(1), reminder('late', { dueAtMs: T0 - 7_200_000 })], T0 - 7_200_000)
    expect(post.take(now(T0 - 3_600_000))).toHaveLength(2)
  })

  it('says of each way of doing whose it is, where there is more than one', () => {
    const look = reminder('Jar', { title: 'First look at Jar', text: 'Hold a lamp to it.' })
    const { title, text } = reminderWords([...many(2), look])
    expect(title).toBe(
      '3 things to do: Knock the ring down in v0, Knock the ring down in v1, First look at Jar',
    )
    expect(text).toBe(
      [
        'Knock the ring down in v0',
        'Knock the ring down in v1',
        'First look at Jar',
        '',
        'Knock the ring down in v0, Knock the ring down in v1: Wash them back down.',
        'First look at Jar: Hold a lamp to it.',
      ].join('\n'),
    )
  })
})
