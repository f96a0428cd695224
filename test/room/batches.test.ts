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

const start = (startedAtMs?: number) =>
  opened.room.startBatch({
    vesselId,
    ...(startedAtMs === undefined ? {} : { startedAtMs }),
    litres: 1,
    cystsG: 2,
    salinityGpl: 25,
  })

describe('batches', () => {
  it('has one open batch a vessel, even when two are asked for in the same moment', async () => {
    const answers = await Promise.allSettled([start(), start()])
    expect(answers.map(answer => answer.status).sort()).toEqual(['fulfilled', 'rejected'])
    await expect(start()).rejects.toMatchObject({ kind: 'conflict' })
  })

  it.each([
    ['in the future', HOUR],
    ['over 30 days ago', -31 * 24 * HOUR],
  ])('refuses a start %s', async (_, shiftMs) => {
    await expect(start(opened.nowMs + shiftMs)).rejects.toMatchObject({ kind: 'invalid', field: 'startedAt' })
  })

  it('knows since when it knows of one that was written down afterwards', async () => {
    const late = await start(opened.nowMs - 5 * HOUR)
    expect(await opened.room.batchKnownSince?.(late.id)).toBe(opened.nowMs)
    await opened.room.endBatch(late.id, {})
    const now = await start()
    expect(await opened.room.batchKnownSince?.(now.id)).toBe(now.startedAtMs)
  })

  it('refuses a start before the end of the last batch', async () => {
    const batch = await start(opened.nowMs - 5 * HOUR)
    await opened.room.endBatch(batch.id, {})
    await expect(start(opened.nowMs - HOUR)).rejects.toMatchObject({ kind: 'invalid', field: 'startedAt' })
    opened.nowMs += HOUR
    expect((await start()).endedAtMs).toBeNull()
  })

  it('expects the water to stay as it was before the cysts went in', async () => {
    for (let min = 120; min > 0; min -= 5)
      await opened.send('a', { water: 25.1 }, opened.nowMs - min * 60_000)
    const { expectedWater } = await opened.room.forecast((await start()).id)
    expect(expectedWater.p50).toBeCloseTo(25.1, 1)
  })

  it('forecasts anew at its first reading, without waiting for the next turn', async () => {
    await start()
    opened.tick()
    opened.nowMs += 2000
    await opened.send('a', { water: 25.1 })
    opened.changes.length = 0
    opened.tick()
    expect(opened.changes.map(({ kind }) => kind)).toContain('forecast')
    opened.changes.length = 0
    opened.nowMs += 2000
    await opened.send('a', { water: 25.1 })
    opened.tick()
    expect(opened.changes.map(({ kind }) => kind)).not.toContain('forecast')
  })

  it('forecasts from the water that was measured before the batch was written down', async () => {
    for (let h = 20; h >= 0; h--) await opened.send('a', { water: 27 }, opened.nowMs - h * HOUR)
    const warm = await opened.room.forecast((await start(opened.nowMs - 20 * HOUR)).id)
    expect(warm.progress).toBeGreaterThan(0.9)
    expect(warm.t10.p50).toBeLessThan(opened.nowMs)
  })

  it('has the same forecast after a restart, and after a backlog that came out of order', async () => {
    const batch = await start(opened.nowMs - 10 * HOUR)
    for (let h = 10; h >= 0; h--) await opened.send('a', { water: 24 + h / 10 }, opened.nowMs - h * HOUR)
    opened.tick()
    await opened.store.settled()
    const before = await opened.room.forecast(batch.id)
    opened = await opened.reopen()
    opened.nowMs -= 1
    expect((await opened.room.forecast(batch.id)).t90).toEqual(before.t90)

    // Half an hour between each pair, newest first: each of them late.
    for (let h = 0; h < 10; h++) await opened.send('a', { water: 20 }, opened.nowMs - (h + 0.5) * HOUR)
    const cooler = await opened.room.forecast(batch.id)
    expect(cooler.progress).toBeLessThan(before.progress)
    opened.tick()
    const again = await opened.reopen()
    opened = again
    opened.nowMs -= 1
    expect((await opened.room.forecast(batch.id)).progress).toBeCloseTo(cooler.progress, 6)
  })

  it('keeps the forecast of an ended batch as of its end', async () => {
    await opened.send('a', { water: 27 }, opened.nowMs - 12 * HOUR)
    await opened.send('a', { water: 27 })
    const batch = await start(opened.nowMs - 12 * HOUR)
    const ended = await opened.room.endBatch(batch.id, {})
    expect(ended.endedAtMs).toBe(opened.nowMs)
    const atEnd = await opened.room.forecast(batch.id)
    opened.nowMs += 24 * HOUR
    expect(await opened.room.forecast(batch.id)).toEqual(atEnd)
    await expect(opened.room.endBatch(batch.id, {})).rejects.toMatchObject({ kind: 'conflict' })
    expect((await start()).endedAtMs).toBeNull()
  })

  it('refuses to remove a vessel with an open batch, and removes it after', async () => {
    const batch = await start()
    await expect(opened.room.retireVessel(vesselId)).rejects.toMatchObject({ kind: 'conflict' })
    await opened.room.endBatch(batch.id, {})
    await opened.room.retireVessel(vesselId)
    expect(opened.room.snapshot().vessels).toEqual([])
    opened = await opened.reopen()
    expect(opened.room.snapshot().vessels).toEqual([])
    expect((await opened.room.batch(batch.id)).id).toBe(batch.id)
  })

  it('refuses a dose that nobody can have meant', async () => {
    const batch = { vesselId, litres: 1.5, salinityGpl: 25 }
    const wrong = { kind: 'invalid', field: 'cystsG' }
    await expect(opened.room.startBatch({ ...batch, cystsG: 200 })).rejects.toMatchObject(wrong)
    const { id } = await opened.room.startBatch({ ...batch, cystsG: 2 })
    await expect(opened.room.changeBatch(id, { cystsG: 200 })).rejects.toMatchObject(wrong)
  })

  it('puts right when a batch was started and ended, but never into another one', async () => {
    const first = await start(opened.nowMs - 40 * HOUR)
    await opened.room.endBatch(first.id, { endedAtMs: opened.nowMs - 15 * HOUR })
    const open = await start(opened.nowMs - 10 * HOUR)
    const changeBatch: typeof opened.room.changeBatch = (id, change) => opened.room.changeBatch(id, change)
    expect(await changeBatch(open.id, { startedAtMs: opened.nowMs - 14 * HOUR })).toMatchObject({
      startedAtMs: opened.nowMs - 14 * HOUR,
    })
    expect(opened.room.vessel(vesselId).batch?.startedAtMs).toBe(opened.nowMs - 14 * HOUR)
    await changeBatch(first.id, { endedAtMs: opened.nowMs - 14.5 * HOUR })
    const wrong = (field: string) => ({ kind: 'invalid', field })
    for (const [id, change, field] of [
      [open.id, { startedAtMs: opened.nowMs - 20 * HOUR }, 'startedAt'],
      [open.id, { startedAtMs: opened.nowMs + HOUR }, 'startedAt'],
      [first.id, { endedAtMs: opened.nowMs - 12 * HOUR }, 'endedAt'],
      [first.id, { endedAtMs: opened.nowMs - 41 * HOUR }, 'endedAt'],
      [first.id, { startedAtMs: opened.nowMs - 14.2 * HOUR }, 'endedAt'],
    ] as const) {
      await expect(changeBatch(id, change)).rejects.toMatchObject(wrong(field))
    }
    await expect(changeBatch(open.id, { endedAtMs: opened.nowMs })).rejects.toMatchObject({
      kind: 'conflict',
    })
  })

  it('discards one that was started by mistake, so that the right one can be written down', async () => {
    const mistake = await start(opened.nowMs - 2 * HOUR)
    await opened.room.discardBatch(mistake.id)
    expect(opened.room.vessel(vesselId)).toMatchObject({ batch: null, forecast: null })
    await expect(opened.room.batch(mistake.id)).rejects.toMatchObject({ kind: 'not-found' })
    const right = await start(opened.nowMs - 5 * HOUR)
    expect((await opened.room.batches({ limit: 9 })).map(({ id }) => id)).toEqual([right.id])
    opened = await opened.reopen()
    expect(opened.room.vessel(vesselId).batch?.id).toBe(right.id)
  })
})
