import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { openTestRoom, type Opened } from './opened.ts'

const MINUTE = 60_000
const DEVICES = ['a', 'b', 'c', 'd', 'e', 'f']
const WELL = { water: 27, air: 1, light: 3000 }

/** A room of six vessels, each with a device of its own, whose power goes in turn. */
describe('a room whose power goes', () => {
  let opened: Opened
  let batches: string[]
  beforeEach(async () => {
    opened = await openTestRoom()
    batches = []
    for (const name of DEVICES) {
      const { row } = await opened.room.createVessel({ name: `Cone ${name}`, litres: 1 })
      await opened.room.assignChannels(row.id, {
        channels: { water: { device: name, channel: 'water' }, air: { device: name, channel: 'air' } },
        offsets: {},
      })
      const batch = { vesselId: row.id, litres: 1, cystsG: 2, salinityGpl: 25 }
      batches.push((await opened.room.startBatch(batch)).id)
    }
    await pass(2)
  })
  afterEach(() => opened.close())

  /** So many minutes, in which only these devices speak. */
  async function pass(minutes: number, heard: readonly string[] = DEVICES): Promise<void> {
    for (let step = 0; step < minutes * 3; step++) {
      opened.nowMs += 20_000
      await Promise.all(heard.map(device => opened.send(device, WELL)))
      opened.tick()
    }
  }
  const calls = () =>
    opened.changes.flatMap(change => (change.kind === 'alarm' && change.raised ? [change.alarm.rule] : []))
  const power = async () =>
    (await opened.room.alarms({ standing: true, limit: 100 })).find(({ rule }) => rule === 'power-lost')

  it('tells of all with one call, counts those that come back, and stands on over a restart', async () => {
    await pass(5, ['f'])
    expect(calls()).toEqual(['power-lost'])
    const called = await power()
    expect(called?.text).toMatch(
      /^5 devices \(on Cone a, Cone b, Cone c and 2 more\) fell silent at the same/,
    )
    await pass(2, ['f', 'a', 'b'])
    expect(await power()).toMatchObject({ id: called?.id, value: 3 })
    expect((await power())?.text).toContain('3 of them (on Cone c, Cone d and Cone e) are silent still')
    expect(calls()).toEqual(['power-lost'])

    opened = await opened.reopen()
    await pass(10, ['f', 'a', 'b'])
    expect(calls()).toEqual([])
    expect(await power()).toMatchObject({ id: called?.id, state: 'unacknowledged', value: 3 })
    await pass(1)
    expect(await power()).toMatchObject({ state: 'return-to-normal-unacknowledged' })
    expect(await opened.room.alarms({ standing: true, limit: 100 })).toHaveLength(1)
    expect(calls()).toEqual([])
  }, 20_000)

  it('tells of those that follow with the same alarm, and once', async () => {
    await pass(5, ['c', 'd', 'e', 'f'])
    expect(calls()).toEqual(['power-lost'])
    await pass(5, ['f'])
    expect(calls()).toEqual(['power-lost'])
    expect(await power()).toMatchObject({ value: 5, worseSinceMs: expect.any(Number) as number })
    await pass(9, ['f'])
    expect(calls()).toEqual(['power-lost', 'power-lost'])
    expect((await power())?.text).toContain(
      '5 devices (on Cone a, Cone b, Cone c and 2 more) fell silent, the',
    )
  }, 20_000)

  it('takes the silence of each with it where the service begins anew before that is told', async () => {
    await pass(2, ['f'])
    expect(calls()).toEqual(['power-lost'])
    expect(await opened.room.alarms({ standing: true, limit: 100 })).toHaveLength(1)
    opened = await opened.reopen()
    await pass(6, ['f'])
    expect(calls()).toEqual([])
    const [cause, ...silent] = await opened.room.alarms({ standing: true, limit: 100 })
    expect(silent.map(({ causedBy }) => causedBy)).toEqual(Array.from({ length: 5 }, () => cause?.id))
  }, 20_000)

  it('calls once where the service comes back and its devices do not', async () => {
    opened = await opened.reopen()
    opened.nowMs += 3 * 60 * MINUTE
    opened = await opened.reopen()
    await pass(10, ['f'])
    expect(calls()).toEqual(['power-lost'])
    expect((await power())?.text).toMatch(
      /^5 devices \(on .*\) were not heard since this service began, 2 min/,
    )
  }, 20_000)

  it('calls nobody for what is put away once no batch is left', async () => {
    for (const id of batches) await opened.room.endBatch(id, {})
    await pass(10, [])
    expect(calls()).toEqual([])
  }, 20_000)
})
