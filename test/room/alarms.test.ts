import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { HOUR, openTestRoom, type Opened } from './opened.ts'

let opened: Opened
let vesselId: string
beforeEach(async () => {
  opened = await openTestRoom()
  vesselId = (await opened.room.createVessel({ name: 'Cone 1', litres: 1 })).row.id
  await opened.room.assignChannels(vesselId, {
    channels: { water: { device: 'a', channel: 'water' }, air: { device: 'a', channel: 'air' } },
    offsets: {},
  })
})
afterEach(() => opened.close())

const standing = () => opened.room.alarms({ standing: true, limit: 100 })
const raised = () =>
  opened.changes.flatMap(change => (change.kind === 'alarm' && change.raised ? [change.alarm] : []))

describe('alarms of the room', () => {
  it('tells of an alarm before the reading is kept', () => {
    const pack = {
      device: 'a',
      boot: null,
      seq: null,
      receivedAtMs: opened.nowMs,
      readings: [
        { channel: 'water', quantity: 'water', unit: 'Cel', value: 31, quality: 'good', atMs: opened.nowMs },
      ],
    } as const
    let kept = false
    opened.outlet.pack(pack, () => (kept = true))
    expect(raised().map(alarm => alarm.rule)).toEqual(['water-too-hot'])
    expect(kept).toBe(false)
  })

  it('keeps its state, and raises nothing twice, over a restart', async () => {
    await opened.send('a', { water: 31 })
    const [alarm] = await standing()
    await opened.room.acknowledge(alarm!.id, 'someone')
    opened = await opened.reopen()
    expect(await standing()).toMatchObject([
      { id: alarm!.id, state: 'acknowledged', acknowledgedBy: 'someone' },
    ])
    opened.nowMs += 1000
    await opened.send('a', { water: 31 })
    opened.tick()
    expect(raised()).toEqual([])
    opened.nowMs += 1000
    await opened.send('a', { water: 27 })
    opened.nowMs += 120_000
    opened.tick()
    expect(await standing()).toEqual([])
    const [past] = await opened.room.alarms({ standing: false, limit: 10 })
    expect(past).toMatchObject({ id: alarm!.id, state: 'normal', reason: 'back-within-limit' })
  })

  it('judges a backlog in its own time', async () => {
    const from = opened.nowMs
    opened.nowMs += 3 * HOUR
    for (let minute = 0; minute < 180; minute++) {
      const hot = minute >= 60 && minute < 90
      await opened.send('a', { water: hot ? 30 : 27 }, from + minute * 60_000)
    }
    const [alarm] = raised()
    expect(alarm).toMatchObject({ rule: 'water-too-hot', raisedAtMs: from + 60 * 60_000 })
    expect(await standing()).toMatchObject([{ id: alarm!.id, state: 'return-to-normal-unacknowledged' }])
    expect(opened.changes.some(change => change.kind === 'backfilled')).toBe(false)
    opened.tick()
    expect(opened.changes.some(change => change.kind === 'backfilled' && change.vesselId === vesselId)).toBe(
      true,
    )
  })

  it('does not judge what is older than the newest', async () => {
    await opened.send('a', { water: 27 })
    await opened.send('a', { water: 35 }, opened.nowMs - HOUR)
    expect(raised()).toEqual([])
  })

  it('notices a silent device only while a batch needs it', async () => {
    await opened.send('a', { water: 27, air: 1 })
    opened.nowMs += HOUR
    opened.tick()
    expect(raised()).toEqual([])
    await opened.room.startBatch({ vesselId, litres: 1, cystsG: 2, salinityGpl: 25 })
    await opened.send('a', { water: 27, air: 1 })
    opened.nowMs += HOUR
    opened.tick()
    expect(raised().map(alarm => alarm.rule)).toEqual(['device-silent'])
    await opened.send('a', { water: 27, air: 1 })
    opened.nowMs += 60_000
    await opened.send('a', { water: 27, air: 1 })
    opened.tick()
    expect(await standing()).toMatchObject([
      { state: 'return-to-normal-unacknowledged', reason: 'heard-again' },
    ])
  })

  it('notices a sensor that stopped although its device goes on', async () => {
    await opened.room.startBatch({ vesselId, litres: 1, cystsG: 2, salinityGpl: 25 })
    await opened.send('a', { water: 27, air: 1 })
    for (let step = 0; step < 9; step++) {
      opened.nowMs += 20_000
      await opened.send('a', { water: 27 })
      opened.tick()
    }
    expect(raised()).toMatchObject([{ rule: 'device-silent', raisedAtMs: opened.nowMs, value: 180 }])
    expect(raised()[0]!.text).toContain('No air reading has come from Cone 1 for 3 min')
    // What the air was before says nothing of now: only a reading of now ends it.
    opened.nowMs += 20_000
    await opened.send('a', { air: 1 }, opened.nowMs - 190_000)
    opened.nowMs += 20_000
    opened.tick()
    expect(await standing()).toMatchObject([{ state: 'unacknowledged' }])
    await opened.send('a', { water: 27, air: 1 })
    opened.nowMs += 10_000
    opened.tick()
    expect(await standing()).toMatchObject([
      { state: 'return-to-normal-unacknowledged', reason: 'heard-again', clearedAtMs: opened.nowMs },
    ])
    expect(raised()).toHaveLength(1)
  })

  it('does not call a device silent because nobody listened', async () => {
    await opened.room.startBatch({ vesselId, litres: 1, cystsG: 2, salinityGpl: 25 })
    await opened.send('a', { water: 27, air: 1 })
    opened.tick()
    opened.nowMs += HOUR
    opened = await opened.reopen()
    opened.tick()
    expect(await standing()).toEqual([])
    opened.nowMs += HOUR
    opened.tick()
    expect(await standing()).toMatchObject([{ rule: 'device-silent' }])
    opened = await opened.reopen()
    opened.tick()
    expect(await standing()).toMatchObject([{ rule: 'device-silent', state: 'unacknowledged' }])
  })

  it('closes an alarm that the rules can no longer remember', async () => {
    await opened.send('a', { water: 31 })
    await opened.store.keepRuleMemory({ vesselId, json: '{"version":0}' })
    opened = await opened.reopen()
    expect(await standing()).toEqual([])
    opened.nowMs += 1000
    await opened.send('a', { water: 31 })
    expect(await standing()).toMatchObject([{ rule: 'water-too-hot', state: 'unacknowledged' }])
  })

  it('closes the alarms of a vessel that is removed', async () => {
    await opened.send('a', { water: 31 })
    await opened.room.retireVessel(vesselId)
    expect(await standing()).toEqual([])
    opened = await opened.reopen()
    expect(await standing()).toEqual([])
  })

  it('refuses to acknowledge what does not stand', async () => {
    await expect(opened.room.acknowledge('nothing', 'someone')).rejects.toMatchObject({ kind: 'not-found' })
  })

  it('goes by changed settings at once', async () => {
    const { settings } = opened.room.snapshot()
    const hot = { ...settings.rules['water-too-hot'], limit: 26 }
    await opened.room.changeSettings({ ...settings, rules: { ...settings.rules, 'water-too-hot': hot } })
    await opened.send('a', { water: 26.5 })
    expect(raised()).toMatchObject([{ rule: 'water-too-hot', limit: 26 }])
    opened = await opened.reopen()
    expect(opened.room.snapshot().settings.rules['water-too-hot'].limit).toBe(26)
  })
})
