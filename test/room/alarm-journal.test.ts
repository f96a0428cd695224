import { afterEach, beforeEach, expect, it } from 'vitest'
import { HOUR, openTestRoom, type Opened } from './opened.ts'

const MINUTE = 60_000
let opened: Opened
let vesselId: string
beforeEach(async () => {
  opened = await openTestRoom()
  const { row } = await opened.room.createVessel({ name: 'a', litres: 1 })
  vesselId = row.id
  const on = (channel: string) => ({ device: 'a', channel })
  await opened.room.assignChannels(row.id, { channels: { water: on('water'), air: on('air') }, offsets: {} })
  await opened.room.startBatch({ vesselId, litres: 1, cystsG: 2, salinityGpl: 25 })
})
afterEach(() => opened.close())

async function minutes(count: number, values: Record<string, number>): Promise<void> {
  for (let step = 0; step < count * 6; step++) {
    opened.nowMs += 10_000
    await opened.send('a', values)
    opened.tick()
  }
}
const journal = (more = {}) =>
  opened.room.journal({
    fromMs: opened.nowMs - 24 * HOUR,
    toMs: opened.nowMs + 1,
    skip: 0,
    limit: 9,
    ...more,
  })

it('tells the life of an alarm step by step, with who did what, also after a restart', async () => {
  await minutes(2, { water: 27, air: 1 })
  await minutes(2, { water: 27, air: 0 })
  const [standing] = await opened.room.alarms({ standing: true, limit: 9 })
  expect(standing).toMatchObject({ rule: 'air-lost' })
  await opened.room.acknowledge(standing!.id, 'Ada')
  await minutes(10, { water: 27, air: 1 })
  opened = await opened.reopen()
  const { entries, figures, marks, more, cut } = await journal()
  expect(entries.map(({ alarm }) => alarm.id)).toEqual([standing!.id])
  expect(entries[0]!.steps.map(({ state, calls, by }) => [state, calls, by])).toEqual([
    ['unacknowledged', true, null],
    ['acknowledged', false, 'Ada'],
    ['normal', false, null],
  ])
  const [called, seen] = entries[0]!.steps
  expect(figures).toMatchObject({
    alarms: 1,
    calls: 1,
    standing: 0,
    acknowledging: { count: 1, medianMs: seen!.atMs - called!.atMs, never: 0 },
    mostFrequent: [{ rule: 'air-lost', vesselId, alarms: 1 }],
  })
  // The room is a quarter of an hour old, not a day.
  expect(figures.days).toBeLessThan(0.02)
  expect(marks).toMatchObject([{ alarmId: standing!.id, silent: false, came: 1, priority: 'high' }])
  expect([more, cut]).toEqual([false, false])
  // A vessel that was put away keeps the name it had.
  await opened.room.endBatch(opened.room.vessel(vesselId).batch!.id, {})
  await opened.room.retireVessel(vesselId)
  expect((await journal()).names).toEqual({ [vesselId]: 'a' })
})

it('remembers calls that the alarm itself has forgotten, and pages and filters its list', async () => {
  await minutes(1, { water: 27, air: 1 })
  for (let n = 0; n < 3; n++) {
    await minutes(1, { water: 30, air: 1 })
    await minutes(3, { water: 27, air: 1 })
    const [hot] = await opened.room.alarms({ standing: true, limit: 9 })
    await opened.room.acknowledge(hot!.id, 'Ada')
  }
  await minutes(2, { water: 27, air: 0 })
  const all = await journal()
  expect(all.entries).toHaveLength(4)
  expect(all.figures).toMatchObject({ alarms: 4, acknowledging: { count: 3 } })
  const page = await journal({ limit: 2, skip: 2 })
  expect(page.entries.map(({ alarm }) => alarm.id)).toEqual(all.entries.slice(2).map(({ alarm }) => alarm.id))
  expect([page.more, (await journal({ limit: 2 })).more]).toEqual([false, true])
  expect((await journal({ rule: 'air-lost' })).entries).toHaveLength(1)
  expect((await journal({ priority: 'critical' })).entries).toHaveLength(3)
  expect((await journal({ vesselId: 'nobody' })).entries).toHaveLength(0)
  // Figures are of all, whatever is listed.
  expect((await journal({ rule: 'air-lost' })).figures.alarms).toBe(4)
  const before = await journal({ fromMs: opened.nowMs - 48 * HOUR, toMs: opened.nowMs - HOUR })
  expect(before).toMatchObject({ entries: [], marks: [], figures: { alarms: 0 } })
  expect(opened.nowMs).toBeGreaterThan(5 * MINUTE)
})

it('tells a reset after the acknowledgement that it followed, though the condition was over before both', async () => {
  const { settings } = opened.room.snapshot()
  const latching = { ...settings.rules['air-lost'], latching: true }
  await opened.room.changeSettings({ ...settings, rules: { ...settings.rules, 'air-lost': latching } })
  await minutes(2, { water: 27, air: 1 })
  await minutes(2, { water: 27, air: 0 })
  const [standing] = await opened.room.alarms({ standing: true, limit: 9 })
  await minutes(6, { water: 27, air: 1 })
  await opened.room.acknowledge(standing!.id, 'Ada')
  await opened.room.resetAlarm(standing!.id, 'Ada')
  await minutes(1, { water: 27, air: 1 })
  const { entries } = await journal()
  const { steps } = entries.find(({ alarm }) => alarm.id === standing!.id)!
  expect(steps.map(({ state, reason }) => [state, reason])).toEqual([
    ['unacknowledged', 'below-limit'],
    ['latched', 'back-within-limit'],
    ['latched-acknowledged', 'acknowledged'],
    ['normal', 'reset'],
  ])
  const times = steps.map(({ atMs }) => atMs)
  expect(times).toEqual([...times].sort((a, b) => a - b))
  expect(times[3]).toBe(times[2])
})

it('keeps what was said at each call when a shelved alarm is brought back, and by whom', async () => {
  await minutes(2, { water: 27, air: 1 })
  await minutes(1, { water: 31, air: 1 })
  const [hot] = await opened.room.alarms({ standing: true, limit: 9 })
  const before = (await journal()).entries.find(({ alarm }) => alarm.id === hot!.id)!.steps
  await opened.room.shelve(hot!.id, { by: 'Ada', forMs: 15 * MINUTE })
  await minutes(2, { water: 30.5, air: 1 })
  await opened.room.unshelve(hot!.id, 'Ben')
  const { steps } = (await journal()).entries.find(({ alarm }) => alarm.id === hot!.id)!
  expect(steps.slice(0, before.length)).toEqual(before)
  const called = steps.filter(({ calls }) => calls)
  expect(called.at(-1)).toMatchObject({ reason: 'unshelved', by: 'Ben' })
  const says = called.map(each => each.says)
  expect(new Set(says).size).toBe(called.length)
  expect(says.every(words => (words ?? '') !== '')).toBe(true)
  const shelved = steps.find(({ reason }) => reason === 'shelved')
  expect(shelved).toMatchObject({ by: 'Ada', untilMs: shelved!.atMs + 15 * MINUTE })
})

it('says of what came of another alarm which one that was, and when that had called', async () => {
  await minutes(2, { water: 27, air: 1 })
  // Warmer by 0.1 °C a minute: the warning comes first, and what it warned of is silent with it.
  for (let step = 0; step < 40; step++) await minutes(1, { water: 27 + step * 0.1, air: 1 })
  const { entries } = await journal()
  const [warning] = entries.filter(({ alarm }) => alarm.rule === 'water-heading-hot')
  const [hot] = entries.filter(({ alarm }) => alarm.rule === 'water-too-hot')
  expect(warning).toMatchObject({ because: null, alarm: { announcedAtMs: expect.any(Number) } })
  expect(hot).toMatchObject({
    came: 0,
    alarm: { announcedAtMs: null },
    because: {
      alarmId: warning!.alarm.id,
      rule: 'water-heading-hot',
      vesselId,
      calledAtMs: warning!.steps.find(({ calls }) => calls)!.atMs,
    },
  })
})

it('remembers who acknowledged what comes back, over a restart too', async () => {
  await minutes(2, { water: 27, air: 1 })
  await minutes(2, { water: 27, air: 0 })
  const [first] = await opened.room.alarms({ standing: true, limit: 9 })
  await opened.room.acknowledge(first!.id, 'Ada')
  const seenBefore = { atMs: opened.nowMs, by: 'Ada' }
  await minutes(10, { water: 27, air: 1 })
  opened = await opened.reopen()
  await minutes(2, { water: 27, air: 0 })
  const [again] = await opened.room.alarms({ standing: true, limit: 9 })
  expect(again!.id).not.toBe(first!.id)
  expect(again).toMatchObject({ rule: 'air-lost', acknowledgedAtMs: null, seenBefore })
  // Another batch is another trouble.
  await opened.room.endBatch(opened.room.vessel(vesselId).batch!.id, {})
  await opened.room.startBatch({ vesselId, litres: 1, cystsG: 2, salinityGpl: 25 })
  await minutes(2, { water: 27, air: 0 })
  const [other] = await opened.room.alarms({ standing: true, limit: 9 })
  expect(other?.seenBefore).toBeUndefined()
})

it('puts off what came of a warning with it: nothing calls, and nothing is told as over', async () => {
  await minutes(2, { water: 27, air: 1 })
  let step = 0
  const hot = async () =>
    (await opened.room.alarms({ standing: true, limit: 9 })).find(({ rule }) => rule === 'water-too-hot')
  while ((await hot()) === undefined) await minutes(1, { water: 27 + 0.1 * step++, air: 1 })
  const warning = (await opened.room.alarms({ standing: true, limit: 9 })).find(({ causedBy }) => !causedBy)!
  expect(warning).toMatchObject({ rule: 'water-heading-hot', value: 0 })
  await opened.room.shelve(warning.id, { by: 'Ada', oneShot: true })
  const shelvedMs = opened.nowMs
  opened.changes.length = 0
  await minutes(58, { water: 30.3, air: 1 })
  expect(opened.changes.filter(change => change.kind === 'alarm' && change.raised)).toEqual([])
  const { steps } = (await journal()).entries.find(({ alarm }) => alarm.id === warning.id)!
  expect(steps.filter(({ atMs }) => atMs >= shelvedMs).map(({ reason }) => reason)).toEqual(['shelved'])
  // An hour is the most for what is critical: then it calls, as what it is.
  await minutes(3, { water: 30.3, air: 1 })
  const calls = opened.changes.flatMap(each => (each.kind === 'alarm' && each.raised ? [each.alarm] : []))
  expect(calls).toMatchObject([{ id: warning.id, reason: 'unshelved', value: 0 }])
})

it('calls once more for what came after its warning was acknowledged, ten minutes after the call at the soonest', async () => {
  await minutes(2, { water: 27, air: 1 })
  let step = 0
  const warned = async () => (await opened.room.alarms({ standing: true, limit: 9 }))[0]
  while ((await warned()) === undefined) await minutes(1, { water: 27 + 0.1 * step++, air: 1 })
  const warning = (await warned())!
  await opened.room.acknowledge(warning.id, 'Ada')
  const calledMs = warning.announcedAtMs!
  opened.changes.length = 0
  await minutes(1, { water: 30.3, air: 1 })
  const calls = () =>
    opened.changes.flatMap(each => (each.kind === 'alarm' && each.raised ? [each.alarm] : []))
  expect(calls()).toEqual([])
  while (opened.nowMs < calledMs + 25 * MINUTE) await minutes(1, { water: 32, air: 1 })
  const [call, ...more] = calls()
  expect(more).toEqual([])
  expect(call).toMatchObject({ id: warning.id, reason: 'above-limit', value: 0, seenBefore: { by: 'Ada' } })
  expect(call!.text).toContain('is 32.0 °C')
  expect(call!.announcedAtMs).toBe(calledMs + 10 * MINUTE)
  const { figures } = await journal()
  expect(figures).toMatchObject({ alarms: 1, calls: 2 })
})

it('leaves what was seen as it is over a restart, until a reading bears it out', async () => {
  await minutes(2, { water: 27, air: 1 })
  let step = 0
  const all = () => opened.room.alarms({ standing: true, limit: 9 })
  const hot = async () => (await all()).find(({ rule }) => rule === 'water-too-hot')
  while ((await all()).length === 0) await minutes(1, { water: 27 + 0.1 * step++, air: 1 })
  const [warning] = await all()
  await opened.room.acknowledge(warning!.id, 'Ada')
  while ((await hot()) === undefined) await minutes(1, { water: 29.6, air: 1 })
  expect((await all()).find(({ id }) => id === warning!.id)).toMatchObject({ state: 'acknowledged' })
  const calls = () =>
    opened.changes.flatMap(each =>
      each.kind === 'alarm' && each.raised && each.alarm.vesselId === vesselId ? [each.alarm.id] : [],
    )
  opened.changes.length = 0
  const away = async (min: number) => {
    opened = await opened.reopen()
    for (let at = 0; at < min * 6; at++) {
      opened.nowMs += 10_000
      opened.tick()
    }
  }
  // Whatever falls due meanwhile: the warning that came true, and what was seen half an hour ago.
  await away(45)
  expect(calls().filter(id => id === warning!.id)).toEqual([])
  const seen = { id: warning!.id, state: 'acknowledged', acknowledgedBy: 'Ada' }
  expect((await all()).find(({ id }) => id === warning!.id)).toMatchObject(seen)
  // It holds still: now somebody is called, once.
  await minutes(8, { water: 30.5, air: 1 })
  expect(calls().filter(id => id === warning!.id)).toEqual([warning!.id])
  const [again] = await all()
  await opened.room.acknowledge(again!.id, 'Ben')
  // It cooled down while the service was away: nobody is called for what was.
  opened.nowMs += 3 * 3_600_000
  await away(0)
  await minutes(15, { water: 26, air: 1 })
  expect(calls()).toEqual([])
  // The silence of the forty-five minutes waits to be seen; of the heat nothing stands.
  expect((await all()).map(({ rule }) => rule)).toEqual(['device-silent'])
})
