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
  const out = await opened.room.takeOutOfService(ids[0]!, 'air-lost', 'x')
  expect(await opened.room.takeOutOfService(ids[0]!, 'air-lost', 'y')).toEqual(out)
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
