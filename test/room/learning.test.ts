import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { NewBatchEvent } from '../../broker/room/event-contract.ts'
import { HOUR, openTestRoom, type Opened } from './opened.ts'

let opened: Opened
let cones: readonly string[]
beforeEach(async () => {
  opened = await openTestRoom()
  cones = await Promise.all(
    ['1', '2'].map(async cone => {
      const { row } = await opened.room.createVessel({ name: `Cone ${cone}`, litres: 1 })
      await opened.room.assignChannels(row.id, {
        channels: { water: { device: `d${cone}`, channel: 'water' } },
        offsets: {},
      })
      return row.id
    }),
  )
})
afterEach(() => opened.close())

const start = (cone: number, lot?: string) =>
  opened.room.startBatch({
    vesselId: cones[cone]!,
    litres: 1,
    cystsG: 2,
    salinityGpl: 25,
    ...(lot === undefined ? {} : { lot }),
  })
/** Lets hours pass with both cones at one temperature. */
const pass = async (hours: number, waterC = 27) => {
  for (let step = 0; step < hours * 4; step++) {
    opened.nowMs += HOUR / 4
    await opened.send('d1', { water: waterC })
    await opened.send('d2', { water: waterC })
  }
}
/** Nearly all out of a good lot: 2 g in 1 l are some 500 cysts a millilitre. */
const goodHarvest: NewBatchEvent = {
  kind: 'count',
  harvest: true,
  by: 'a keeper',
  samples: Array.from({ length: 6 }, () => ({ sampleMl: 0.25, nauplii: 96, umbrella: 1, embryos: 20 })),
}
/** A whole batch in one cone, counted at the harvest; ended. */
const countedBatch = async (cone: number, lot: string, hours = 22) => {
  await pass(1)
  const batch = await start(cone, lot)
  await pass(hours)
  await opened.room.recordEvent(batch.id, goodHarvest)
  return opened.room.endBatch(batch.id, {})
}
const widthH = ({ p10, p90 }: { p10: number; p90: number }) => (p90 - p10) / HOUR

describe('what is learned of a lot', () => {
  it('makes the next batches of the lot surer, and of no other', async () => {
    await countedBatch(0, 'spring')
    await countedBatch(0, 'spring')
    const known = await opened.room.forecast((await start(0, 'spring')).id)
    const unseen = await opened.room.forecast((await start(1, 'autumn')).id)
    expect(known.lot).toEqual({ name: 'spring', batches: 2, observations: 2 })
    expect(unseen.lot).toEqual({ name: 'autumn', batches: 0, observations: 0 })
    expect(widthH(known.t90)).toBeLessThan(0.7 * widthH(unseen.t90))
    expect(widthH(known.hatchPercentage)).toBeLessThan(widthH(unseen.hatchPercentage))
  })

  it('says by how much a count in one vessel moved another’s harvest, and for a time only', async () => {
    await pass(1)
    const counted = await start(0, 'spring')
    await pass(4)
    const other = await start(1, 'spring')
    await pass(20)
    const before = await opened.room.forecast(other.id)
    expect(before.moved).toBeUndefined()
    await opened.room.recordEvent(counted.id, {
      kind: 'count',
      harvest: true,
      by: 'a keeper',
      drawnOffMl: 1000,
      samples: [{ sampleMl: 1, nauplii: 30 }],
    })
    const after = await opened.room.forecast(other.id)
    expect(after.moved).toMatchObject({ kind: 'count', vesselId: cones[0], atMs: opened.nowMs })
    expect(after.moved!.laterMs).toBe(after.harvest.bestMs - before.harvest.bestMs)
    expect(Math.abs(after.moved!.laterMs)).toBeGreaterThan(HOUR / 2)
    expect(after.moved!.hatchedBefore.p50).toBeCloseTo(before.hatchedNow.p50, 9)
    // Its own harvest is no news for the vessel itself.
    expect((await opened.room.forecast(counted.id)).moved).toBeUndefined()
    await pass(13)
    expect((await opened.room.forecast(other.id)).moved).toBeUndefined()
  })

  it('gives a batch among others the hours of its own page', async () => {
    await countedBatch(0, 'spring')
    const { id, vesselId, startedAtMs, endedAtMs } = await countedBatch(0, 'spring')
    const [fromMs, toMs, points] = [startedAtMs, endedAtMs!, 400]
    const { water } = await opened.room.readings(vesselId, { fromMs, toMs, points })
    const line = await opened.room.hatchLine(id, { water: { ...water!, points }, toMs, points: 48 })
    const { t10, t90 } = await opened.room.forecast(id)
    expect(line.t10Ms).not.toBeNull()
    expect(Math.abs(line.t10Ms! - t10.p50)).toBeLessThan(5 * 60_000)
    if (t90.p50 <= toMs) expect(Math.abs(line.t90Ms! - t90.p50)).toBeLessThan(5 * 60_000)
    else expect(line.t90Ms).toBeNull()
  })

  it('keeps the line of an ended batch, and reckons it anew when anything that it rests on has changed', async () => {
    await countedBatch(0, 'spring')
    const { id, vesselId, startedAtMs, endedAtMs } = await countedBatch(0, 'spring')
    const [fromMs, toMs, points] = [startedAtMs, endedAtMs!, 400]
    const { water } = await opened.room.readings(vesselId, { fromMs, toMs, points })
    const ask = () => opened.room.hatchLine(id, { water: { ...water!, points }, toMs, points: 48 })
    const first = await ask()
    // One that could only come from what was kept.
    await opened.store.settled()
    const key = `hatch-line:${id}`
    const kept = JSON.parse((await opened.store.document(key))!)
    await opened.store.keepDocument(key, JSON.stringify({ ...kept, line: { ...first, t90Ms: 1 } }))
    expect((await ask()).t90Ms).toBe(1)
    opened = await opened.reopen()
    expect((await ask()).t90Ms).toBe(1)
    const swimmers = { kind: 'first-swimmers', by: 'a keeper', atMs: startedAtMs + 8 * HOUR } as const
    await opened.room.recordEvent(id, swimmers)
    const seen = await ask()
    expect(seen.t10Ms! + HOUR).toBeLessThan(first.t10Ms!)
    expect(await ask()).toEqual(seen)
  })

  it('takes what was drawn off for all of the vessel, and its share for none', async () => {
    const learnedOf = async (cone: number, lot: string, count: NewBatchEvent) => {
      const batch = await start(cone, lot)
      await pass(22)
      await opened.room.recordEvent(batch.id, count)
      await opened.room.endBatch(batch.id, {})
      return (await opened.room.lots()).find(({ name }) => name === lot)!.summary
    }
    const count = { kind: 'count', harvest: true, by: 'a keeper' } as const
    const vessel = await learnedOf(0, 'spring', { ...count, samples: [{ sampleMl: 1, nauplii: 300 }] })
    // The 300,000 of the litre, in 200 ml.
    const drawnOff = await learnedOf(0, 'autumn', {
      ...count,
      drawnOffMl: 200,
      samples: [{ sampleMl: 0.2, nauplii: 300, umbrella: 2, embryos: 5 }],
    })
    expect(drawnOff.hatchPercentage.p50).toBeCloseTo(vessel.hatchPercentage.p50, 2)
    expect(drawnOff.naupliiPerG.p50 / vessel.naupliiPerG.p50).toBeCloseTo(1, 2)
  })

  it('is the same after a restart, without reading the water anew', async () => {
    await countedBatch(0, 'spring')
    const batch = await start(0, 'spring')
    const before = await opened.room.forecast(batch.id)
    opened = await opened.reopen()
    opened.nowMs -= 1
    expect(await opened.room.forecast(batch.id)).toEqual(before)
  })

  it('reaches a batch of the lot that stands in another vessel', async () => {
    await pass(1)
    const early = await start(0, 'spring')
    await pass(8)
    const late = await start(1, 'spring')
    const before = await opened.room.forecast(late.id)
    await pass(12)
    opened.changes.length = 0
    await opened.room.recordEvent(early.id, { kind: 'first-swimmers', by: 'a keeper' })
    const told = opened.changes.filter(change => change.kind === 'forecast').map(change => change.vesselId)
    expect([...told].sort()).toEqual([...cones].sort())
    const after = await opened.room.forecast(late.id)
    expect(after.lot).toMatchObject({ batches: 1, observations: 1 })
    expect(widthH(after.t90)).toBeLessThan(widthH(before.t90))
  })

  it('lists the lots with what is known of each', async () => {
    await countedBatch(0, 'spring')
    await pass(1)
    await start(1, 'autumn')
    const lots = await opened.room.lots()
    expect(lots.map(({ name, batches }) => [name, batches])).toEqual([
      ['autumn', 1],
      ['spring', 1],
    ])
    expect(lots[0]!.summary.verdict).toBe('unseen')
    expect(lots[1]!.summary.verdict).not.toBe('unseen')
  })

  it('goes with a batch that was written down under the wrong lot', async () => {
    const { id } = await countedBatch(0, 'spring')
    await opened.room.changeBatch(id, { lot: 'autumn' })
    const lots = await opened.room.lots()
    expect(lots.map(({ name }) => name)).toEqual(['autumn'])
    expect((await opened.room.forecast((await start(0, 'autumn')).id)).lot.observations).toBe(1)
    expect((await opened.room.forecast((await start(1, 'spring')).id)).lot.observations).toBe(0)
  })
})

describe('what is seen of a batch', () => {
  it('moves its own forecast, and taking it back undoes that', async () => {
    await pass(1)
    const batch = await start(0)
    await pass(11)
    const before = await opened.room.forecast(batch.id)
    const seen = await opened.room.recordEvent(batch.id, { kind: 'first-swimmers', by: 'a keeper' })
    const after = await opened.room.forecast(batch.id)
    // Swimmers at 11 h are early: the lot is a quick one.
    expect(after.t10.p50).toBeLessThan(before.t10.p50)
    expect(after.t90.p50).toBeLessThan(before.t90.p50)
    const taken = await opened.room.withdrawEvent(batch.id, seen.id)
    expect(taken.withdrawnAtMs).toBe(opened.nowMs)
    expect(await opened.room.forecast(batch.id)).toEqual(before)
    expect(await opened.room.batchEvents(batch.id)).toEqual([taken])
    expect(await opened.room.withdrawEvent(batch.id, seen.id)).toEqual(taken)
  })

  it('may be written down as of earlier, and of an ended batch, within reason', async () => {
    await pass(1)
    const batch = await start(0, 'spring')
    await pass(20)
    const note = { kind: 'note', text: 'foam', by: 'a keeper' } as const
    const early = await opened.room.recordEvent(batch.id, { ...note, atMs: opened.nowMs - 3 * HOUR })
    await opened.room.endBatch(batch.id, {})
    opened.nowMs += HOUR
    const late = await opened.room.recordEvent(batch.id, goodHarvest)
    expect(late.atMs).toBe(opened.nowMs - HOUR)
    expect((await opened.room.batchEvents(batch.id)).map(({ id }) => id)).toEqual([early.id, late.id])
    expect((await opened.room.lots())[0]!.summary.observations).toBe(1)
    for (const atMs of [opened.nowMs + HOUR, batch.startedAtMs - 1]) {
      await expect(opened.room.recordEvent(batch.id, { ...note, atMs })).rejects.toMatchObject({
        kind: 'invalid',
        field: 'at',
      })
    }
  })

  it('says of a count what it means for the whole vessel, and refuses what the cysts cannot give', async () => {
    await pass(1)
    const batch = await start(0)
    await pass(20)
    const { estimate } = await opened.room.recordEvent(batch.id, goodHarvest)
    // 576 nauplii in 1.5 ml, in one litre.
    expect(estimate!.nauplii.best).toBeCloseTo(384_000, 0)
    expect(estimate!.nauplii.low).toBeLessThan(384_000)
    const impossible = {
      kind: 'count',
      harvest: true,
      by: 'x',
      samples: [{ sampleMl: 1, nauplii: 100_000 }],
    } as const
    await expect(opened.room.recordEvent(batch.id, impossible)).rejects.toMatchObject({
      kind: 'invalid',
      field: 'samples',
    })
  })

  it('has its first swimmers once', async () => {
    await pass(1)
    const batch = await start(0)
    await pass(14)
    const swimmers = { kind: 'first-swimmers', by: 'x' } as const
    const seen = await opened.room.recordEvent(batch.id, swimmers)
    await expect(opened.room.recordEvent(batch.id, swimmers)).rejects.toMatchObject({ kind: 'conflict' })
    await opened.room.withdrawEvent(batch.id, seen.id)
    await opened.room.recordEvent(batch.id, { ...swimmers, atMs: opened.nowMs - HOUR })
    await opened.room.endBatch(batch.id, {})
    opened.nowMs += HOUR
    await expect(
      opened.room.recordEvent(batch.id, { ...swimmers, atMs: opened.nowMs }),
    ).rejects.toMatchObject({ kind: 'invalid', field: 'at' })
  })

  it('cannot have them before anything hatches, and is asked back before the earliest that was published', async () => {
    await pass(1)
    const batch = await start(0)
    const swimmers = { kind: 'first-swimmers', by: 'x' } as const
    const after = (hours: number, insist = false) =>
      opened.room.recordEvent(batch.id, { ...swimmers, atMs: batch.startedAtMs + hours * HOUR, insist })
    await pass(12)
    // Twelve minutes: nothing that hatches does so within hours (New 2002, FAO 428, Annex 4), whoever insists.
    for (const insist of [false, true])
      await expect(after(0.2, insist)).rejects.toMatchObject({
        kind: 'invalid',
        field: 'at',
        message: expect.stringMatching(/within 4 h .* got 12 min\..*start right first$/),
      })
    await expect(after(6)).rejects.toMatchObject({ kind: 'conflict', field: 'insist' })
    const seen = await after(6, true)
    expect(seen).not.toHaveProperty('insist')
    await opened.room.withdrawEvent(batch.id, seen.id)
    // The earliest published: 8 h at 30 °C and 14 g/l.
    await expect(after(8)).resolves.toMatchObject({ kind: 'first-swimmers' })
  })

  it('is refused for what there is not, and when the log is full', async () => {
    await expect(opened.room.batchEvents('nothing')).rejects.toMatchObject({ kind: 'not-found' })
    const batch = await start(0)
    await expect(opened.room.withdrawEvent(batch.id, 'nothing')).rejects.toMatchObject({ kind: 'not-found' })
    const note = { kind: 'note', text: 'x', by: 'a keeper' } as const
    for (let n = 0; n < 500; n++) await opened.room.recordEvent(batch.id, note)
    await expect(opened.room.recordEvent(batch.id, note)).rejects.toMatchObject({ kind: 'conflict' })
    expect(await opened.room.batchEvents(batch.id)).toHaveLength(500)
  })
})

describe('what was written down', () => {
  it('answers the reminder that asked for it: no first look at what was seen or counted', async () => {
    const kinds = () => opened.room.snapshot().reminders?.map(({ kind }) => kind)
    const due = async (hours: number) => {
      await pass(hours)
      opened.tick()
      return kinds()
    }
    await pass(1)
    const batch = await start(0, 'spring')
    expect(await due(13)).toContain('first-look')
    const seen = await opened.room.recordEvent(batch.id, goodHarvest)
    expect(await due(0.25)).not.toContain('first-look')
    expect(await due(6)).not.toContain('harvest-opens')
    await opened.room.withdrawEvent(batch.id, seen.id)
    expect(await due(0.25)).toContain('harvest-opens')
  })
})
