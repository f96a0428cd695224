import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { LookBack } from '../../broker/room/views.ts'
import { HOUR, openTestRoom, type Opened } from './opened.ts'

let opened: Opened
beforeEach(async () => {
  opened = await openTestRoom()
})
afterEach(() => opened.close())

const water = { channels: { water: { device: 'd', channel: 'water' } }, offsets: {} }

async function batch({ hours, ended }: { hours: number; ended: boolean }): Promise<string> {
  const { row } = await opened.room.createVessel({ name: 'Cone', litres: 1 })
  await opened.room.assignChannels(row.id, water)
  const { id } = await opened.room.startBatch({
    vesselId: row.id,
    litres: 1,
    cystsG: 2,
    salinityGpl: 25,
    lot: 'spring',
  })
  for (let step = 0; step < hours * 2; step++) {
    opened.nowMs += HOUR / 2
    await opened.send('d', { water: 27 })
  }
  if (ended) await opened.room.endBatch(id, {})
  return id
}

async function lookedBack(id: string): Promise<LookBack> {
  const { vesselId, startedAtMs, endedAtMs } = await opened.room.batch(id)
  const toMs = endedAtMs ?? opened.nowMs
  const points = 500
  const { water } = await opened.room.readings(vesselId, { fromMs: startedAtMs, toMs, points })
  return opened.room.lookBack(id, { toMs, points: 20, ...(water ? { water: { ...water, points } } : {}) })
}

describe('an ended batch that is looked back at', () => {
  it('is reckoned once for two who ask at once, and not again while nothing changes', async () => {
    const id = await batch({ hours: 22, ended: true })
    const [one, other] = await Promise.all([lookedBack(id), lookedBack(id)])
    expect(other).toBe(one)
    opened.nowMs += HOUR
    expect(await lookedBack(id)).toBe(one)
    expect(one.expectedWater.p50.at(-1)).toBeCloseTo(27, 0)
  })

  it('is reckoned anew, with another answer, when something was seen of it', async () => {
    const id = await batch({ hours: 22, ended: true })
    const before = await lookedBack(id)
    const { startedAtMs } = await opened.room.batch(id)
    await opened.room.recordEvent(id, {
      kind: 'first-swimmers',
      by: 'a keeper',
      atMs: startedAtMs + 10 * HOUR,
    })
    const after = await lookedBack(id)
    expect(after.forecast.firstSeenMs).toBe(startedAtMs + 10 * HOUR)
    expect(after.forecast.t90.p50).toBeLessThan(before.forecast.t90.p50)
  })

  it('is reckoned anew when readings of it come in late', async () => {
    const id = await batch({ hours: 22, ended: true })
    const before = await lookedBack(id)
    const { startedAtMs } = await opened.room.batch(id)
    await opened.send('d', { water: 22 }, startedAtMs + 3 * HOUR + 60_000)
    expect(await lookedBack(id)).not.toBe(before)
  })

  it('is reckoned anew every time while it is open', async () => {
    const id = await batch({ hours: 10, ended: false })
    const before = await lookedBack(id)
    opened.nowMs += HOUR
    expect((await lookedBack(id)).forecast.atMs).toBe(before.forecast.atMs + HOUR)
  })
})
