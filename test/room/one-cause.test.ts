import { afterEach, beforeEach, expect, it } from 'vitest'
import { HOUR, openTestRoom, type Opened } from './opened.ts'

const MINUTE = 60_000
let opened: Opened
let ids: string[]
beforeEach(async () => {
  opened = await openTestRoom()
  ids = []
  for (const name of ['a', 'b']) {
    const { row } = await opened.room.createVessel({ name, litres: 1 })
    ids.push(row.id)
    const channel = (of: string) => ({ device: name, channel: of })
    await opened.room.assignChannels(row.id, {
      channels: { water: channel('water'), air: channel('air'), light: channel('light') },
      offsets: {},
    })
    await opened.room.startBatch({ vesselId: row.id, litres: 1, cystsG: 2, salinityGpl: 25 })
  }
  await minute({ water: 27, air: 1, light: 3000 })
})
afterEach(() => opened.close())

async function minute(values: Record<string, number>, devices = ['a', 'b']): Promise<void> {
  for (let step = 0; step < 6; step++) {
    opened.nowMs += 10_000
    for (const device of devices) await opened.send(device, values)
    opened.tick()
  }
}
const calls = () =>
  opened.changes.flatMap(change =>
    change.kind === 'alarm' && change.raised ? [[change.alarm.rule, change.alarm.vesselId]] : [],
  )
const standing = () => opened.room.alarms({ standing: true, limit: 100 })

it('calls once for a pump that feeds two vessels, shows the chain, and calls for what stays without air', async () => {
  await minute({ water: 27, air: 0, light: 3000 })
  expect(calls()).toEqual([['air-lost', ids[0]]])
  const [cause, consequence] = await standing()
  expect(cause).toMatchObject({ state: 'unacknowledged', consequences: [consequence!.id] })
  expect(consequence).toMatchObject({
    state: 'suppressed-by-design',
    causedBy: cause!.id,
    announcedAtMs: null,
    reason: 'consequence',
  })
  // After a restart the chain is as it was, and nobody is called anew.
  opened = await opened.reopen()
  await minute({ water: 27, air: 0, light: 3000 })
  expect(calls()).toEqual([])
  expect(await standing()).toMatchObject([
    { id: cause!.id, consequences: [consequence!.id] },
    { id: consequence!.id, causedBy: cause!.id },
  ])
  for (let step = 0; step < 30; step++) {
    opened.nowMs += 10_000
    await opened.send('a', { water: 27, air: 1, light: 3000 })
    await opened.send('b', { water: 27, air: 0, light: 3000 })
    opened.tick()
  }
  expect(calls()).toEqual([['air-lost', ids[1]]])
})

it('makes the call as loud as what came of it, and calls again for that ten minutes later', async () => {
  const { settings } = opened.room.snapshot()
  const { 'air-lost': air, 'light-out': light } = settings.rules
  const rules = {
    ...settings.rules,
    'air-lost': { ...air, priority: 'low' as const },
    'light-out': { ...light, priority: 'critical' as const },
  }
  await opened.room.changeSettings({ ...settings, rules })
  // A strip goes off.
  await minute({ water: 27, air: 0, light: 0 })
  expect(calls()).toEqual([['air-lost', ids[0]]])
  for (let at = 0; at < 6; at++) await minute({ water: 27, air: 0, light: 0 })
  expect(calls()).toHaveLength(1)
  const [cause] = await standing()
  expect(cause).toMatchObject({ rule: 'air-lost', priority: 'critical' })
  expect(cause!.worseSinceMs).toBeGreaterThan(cause!.announcedAtMs!)
  expect(cause!.text).toMatch(/^The light on [ab] is 0 lx.* The air into a is 0 l/)
  opened = await opened.reopen()
  for (let at = 0; at < 6; at++) await minute({ water: 27, air: 0, light: 0 })
  expect(calls()).toEqual([['air-lost', ids[0]]])
  expect(await standing()).toMatchObject([
    { id: cause!.id, priority: 'critical', worseSinceMs: null },
    {},
    {},
    {},
  ])
})

it('tells of the vessel with nauplii first, and calls for all with that', async () => {
  const { batch } = opened.room.vessel(ids[1]!)
  await opened.room.changeBatch(batch!.id, { startedAtMs: opened.nowMs - 24 * HOUR })
  for (let at = 0; at < 2; at++) await minute({ water: 27, air: 1, light: 3000 })
  expect(['hatching', 'harvest', 'overdue']).toContain(opened.room.vessel(ids[1]!).forecast?.stage)
  for (let at = 0; at < 3; at++) await minute({ water: 27, air: 0, light: 3000 })
  expect(calls()).toEqual([['air-lost', ids[1]]])
  const [first, second] = await standing()
  expect(first).toMatchObject({ priority: 'critical', consequences: [second!.id] })
})

it('keeps a harvest at one vessel from silencing another whose air is lost with it', async () => {
  await opened.room.suppress(ids[0]!, { reason: 'harvest', forMs: 30 * MINUTE, by: 'x' })
  await minute({ water: 27, air: 0, light: 3000 })
  expect(calls()).toEqual([['air-lost', ids[1]]])
})

it('judges the level by how full the vessel was, and anew after water was drawn off', async () => {
  const channel = { device: 'a', channel: 'level' }
  await opened.room.assignChannels(ids[0]!, { channels: { level: channel }, offsets: {} })
  const well = { water: 27, air: 1, light: 3000 }
  for (let at = 0; at < 5; at++) await minute({ ...well, level: 0.95 })
  expect(opened.room.vessel(ids[0]!).latest.level).toMatchObject({ value: 0.95 })
  await opened.room.suppress(ids[0]!, { reason: 'harvest', forMs: 30 * MINUTE, by: 'x' })
  for (let at = 0; at < 5; at++) await minute({ ...well, level: 0.4 })
  await opened.room.endSuppression(ids[0]!, 'x')
  for (let at = 0; at < 5; at++) await minute({ ...well, level: 0.4 })
  expect(calls()).toEqual([])
  opened = await opened.reopen()
  for (let at = 0; at < 5; at++) await minute({ ...well, level: 0.4 })
  expect(calls()).toEqual([])
  for (let at = 0; at < 5; at++) await minute({ ...well, level: 0.3 })
  expect(calls()).toEqual([['water-level', ids[0]]])
})

it('shelves, tells until when, and refuses too long and too short', async () => {
  await minute({ water: 27, air: 0, light: 3000 }, ['a'])
  const [alarm] = await standing()
  await expect(opened.room.shelve(alarm!.id, { by: 'x', forMs: 13 * HOUR })).rejects.toMatchObject({
    kind: 'invalid',
    field: 'minutes',
  })
  await expect(opened.room.shelve(alarm!.id, { by: 'x', forMs: MINUTE })).rejects.toMatchObject({
    kind: 'invalid',
  })
  await expect(opened.room.unshelve(alarm!.id, 'x')).rejects.toMatchObject({ kind: 'conflict' })
  const shelved = await opened.room.shelve(alarm!.id, { by: 'x', forMs: 15 * MINUTE })
  expect(shelved).toMatchObject({ state: 'shelved', shelvedUntilMs: opened.nowMs + 15 * MINUTE })
  expect(await opened.room.alarms({ standing: true, states: ['shelved'], limit: 9 })).toHaveLength(1)
  opened = await opened.reopen()
  expect(await standing()).toMatchObject([{ id: alarm!.id, state: 'shelved', setAsideBy: 'x' }])
  expect(await opened.room.unshelve(alarm!.id, 'x')).toMatchObject({ state: 'unacknowledged' })
})

it('hushes the air for a harvest, tells so on the vessel, and lets it be ended', async () => {
  await opened.room.suppress(ids[0]!, { reason: 'harvest', forMs: 30 * MINUTE, by: 'x' })
  expect(opened.room.vessel(ids[0]!).hush).toMatchObject({
    reason: 'harvest',
    untilMs: opened.nowMs + 30 * MINUTE,
  })
  await minute({ water: 27, air: 0, light: 3000 }, ['a'])
  expect(calls()).toEqual([])
  opened = await opened.reopen()
  expect(opened.room.vessel(ids[0]!).hush).toMatchObject({ reason: 'harvest' })
  await opened.room.endSuppression(ids[0]!, 'x')
  expect(opened.room.vessel(ids[0]!).hush).toBeNull()
  await minute({ water: 27, air: 0, light: 3000 }, ['a'])
  expect(calls()).toEqual([['air-lost', ids[0]]])
  await expect(
    opened.room.suppress(ids[0]!, { reason: 'harvest', forMs: 91 * MINUTE, by: 'x' }),
  ).rejects.toMatchObject({ kind: 'invalid' })
})

it('lists a rule that is out of service until it is returned', async () => {
  const out = await opened.room.takeOutOfService(ids[0]!, 'air-lost', { by: 'x' })
  expect(await opened.room.takeOutOfService(ids[0]!, 'air-lost', { by: 'y' })).toEqual(out)
  opened = await opened.reopen()
  await minute({ water: 27, air: 0, light: 3000 }, ['a'])
  expect(calls()).toEqual([])
  expect(await standing()).toMatchObject([{ id: out.id, state: 'out-of-service', setAsideBy: 'x' }])
  await opened.room.returnToService(ids[0]!, 'air-lost', 'x')
  await expect(opened.room.returnToService(ids[0]!, 'air-lost', 'x')).rejects.toMatchObject({
    kind: 'conflict',
  })
  await minute({ water: 27, air: 0, light: 3000 }, ['a'])
  expect(calls()).toEqual([['air-lost', ids[0]]])
})

it('returns a rule by itself when its time out of service is over, also over a restart, and says what it was for', async () => {
  const input = { by: 'x', forMs: 5 * MINUTE, why: 'the pump is cleaned' }
  const out = await opened.room.takeOutOfService(ids[0]!, 'air-lost', input)
  expect(out).toMatchObject({ outUntilMs: opened.nowMs + 5 * MINUTE, outWhy: 'the pump is cleaned' })
  opened = await opened.reopen()
  expect(await standing()).toMatchObject([{ outWhy: 'the pump is cleaned', outUntilMs: out.outUntilMs }])
  const still = async (untilMs: number) => {
    while (opened.nowMs < untilMs) {
      opened.nowMs += 10_000
      await opened.send('a', { water: 27, air: 0, light: 3000 })
      await opened.send('b', { water: 27, air: 1, light: 3000 })
      opened.tick()
    }
  }
  await still(out.outUntilMs! - 10_000)
  expect(calls()).toEqual([])
  await still(out.outUntilMs! + MINUTE)
  expect(calls()).toEqual([['air-lost', ids[0]]])
  const span = { fromMs: out.outUntilMs! - HOUR, toMs: opened.nowMs + 1, skip: 0, limit: 9 }
  const { entries } = await opened.room.journal(span)
  const steps = entries.find(({ alarm }) => alarm.id === out.id)!.steps
  expect(steps[0]).toMatchObject({ reason: 'out-of-service', by: 'x', why: 'the pump is cleaned' })
  expect(steps[1]).toMatchObject({ reason: 'in-service', by: 'its time' })
  await expect(
    opened.room.takeOutOfService(ids[0]!, 'air-lost', { by: 'x', forMs: 31 * 24 * HOUR }),
  ).rejects.toMatchObject({ kind: 'invalid', field: 'minutes' })
})

it('brings back what was put off with a call of its own, and leaves what was called meanwhile as it was answered', async () => {
  const { settings } = opened.room.snapshot()
  const light = { ...settings.rules['light-out'], priority: 'critical' as const }
  const air = { ...settings.rules['air-lost'], priority: 'high' as const }
  const rules = { ...settings.rules, 'light-out': light, 'air-lost': air }
  await opened.room.changeSettings({ ...settings, rules })
  const off = { water: 27, air: 0, light: 3000 }
  await minute(off, ['a'])
  const [lost] = await standing()
  await opened.room.shelve(lost!.id, { by: 'x', forMs: 60 * MINUTE })
  for (let at = 0; at < 8; at++) await minute({ ...off, light: 0 }, ['a'])
  const dark = (await standing()).find(({ rule, vesselId }) => rule === 'light-out' && vesselId === ids[0])
  expect(dark).toMatchObject({ state: 'unacknowledged' })
  await opened.room.acknowledge(dark!.id, 'x')
  opened.changes.length = 0
  await opened.room.unshelve(lost!.id, 'x')
  for (let at = 0; at < 3; at++) await minute({ ...off, light: 0 }, ['a'])
  expect(calls()).toEqual([['air-lost', ids[0]]])
  const now = await standing()
  expect(now.find(({ id }) => id === lost!.id)).toMatchObject({ state: 'unacknowledged', priority: 'high' })
  expect(now.find(({ id }) => id === dark!.id)).toMatchObject({ state: 'acknowledged', causedBy: null })
})
