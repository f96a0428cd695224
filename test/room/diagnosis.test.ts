import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { BatchRow } from '../../broker/store/contract.ts'
import { HOUR, openTestRoom, type Opened } from './opened.ts'

let opened: Opened
let vesselId: string
beforeEach(async () => {
  opened = await openTestRoom()
  const { row } = await opened.room.createVessel({ name: 'Cone 1', litres: 1 })
  vesselId = row.id
  await opened.room.assignChannels(row.id, {
    channels: {
      water: { device: 'd', channel: 'water' },
      air: { device: 'd', channel: 'air' },
      light: { device: 'd', channel: 'light' },
    },
    offsets: {},
  })
})
afterEach(() => opened.close())

const start = () => opened.room.startBatch({ vesselId, litres: 1, cystsG: 2, salinityGpl: 25 })
/** Lets hours pass, with a reading every ten minutes. */
const pass = async (hours: number, values: { waterC?: number; air?: number } = {}) => {
  for (let step = 0; step < hours * 6; step++) {
    opened.nowMs += HOUR / 6
    // The last digit of a probe is never still.
    const waterC = (values.waterC ?? 27) + 0.0625 * (step % 3)
    await opened.send('d', { water: waterC, air: values.air ?? 0.5, light: 2500 })
  }
}
const count = (batch: BatchRow, nauplii: number, embryos: number) =>
  opened.room.recordEvent(batch.id, {
    kind: 'count',
    harvest: true,
    by: 'a keeper',
    samples: Array.from({ length: 6 }, () => ({ sampleMl: 0.25, nauplii, umbrella: 1, embryos })),
  })

describe('the diagnosis of a batch', () => {
  it('names what the readings show, with the span, and changes with what is written down', async () => {
    const batch = await start()
    await pass(14)
    const hotFromMs = opened.nowMs
    await pass(5, { waterC: 38 })
    const hotUntilMs = opened.nowMs
    await pass(5)
    await count(batch, 20, 90)
    await opened.room.endBatch(batch.id, {})
    const { verdict, causes, balance } = await opened.room.diagnosis(batch.id)
    expect(verdict).toBe('causes')
    expect(causes[0]).toMatchObject({ kind: 'too-hot', sure: 'as good as certain' })
    const [span] = causes[0]!.evidence[0]!.spans
    expect(Math.abs(span!.fromMs - hotFromMs)).toBeLessThan(HOUR / 4)
    expect(Math.abs(span!.toMs - hotUntilMs)).toBeLessThan(HOUR / 4)
    expect(balance.counted!.best).toBeCloseTo((100 * 20) / 111, 0)

    await opened.room.recordEvent(batch.id, { kind: 'ph', ph: 6.8, by: 'a keeper', atMs: batch.startedAtMs })
    const again = await opened.room.diagnosis(batch.id)
    expect([...again.causes, ...again.risky, ...again.ruledOut].map(({ kind }) => kind)).toContain('ph-off')
  })

  it('is made once while nothing changes, and anew when the past does', async () => {
    const batch = await start()
    await pass(24)
    await count(batch, 96, 20)
    await opened.room.endBatch(batch.id, {})
    const first = await opened.room.diagnosis(batch.id)
    expect(first.causes).toEqual([])
    expect(first.verdict).toBe('nothing')
    expect(await opened.room.diagnosis(batch.id)).toBe(first)
    const both = await Promise.all([opened.room.diagnosis(batch.id), opened.room.diagnosis(batch.id)])
    expect(both).toEqual([first, first])
    await opened.room.changeBatch(batch.id, { cystsG: 9 })
    const changed = await opened.room.diagnosis(batch.id)
    expect(changed).not.toBe(first)
    expect([...changed.causes, ...changed.risky, ...changed.ruledOut].map(({ kind }) => kind)).toContain(
      'too-dense',
    )
  })

  it('tells layers by a second probe near the surface, once there is one', async () => {
    const assign = () =>
      opened.room.assignChannels(vesselId, {
        channels: { 'upper-water': { device: 'd', channel: '2/water' } },
        offsets: {},
      })
    await assign()
    const batch = await start()
    for (let step = 0; step < 24 * 6; step++) {
      opened.nowMs += HOUR / 6
      const noise = 0.0625 * (step % 3)
      await opened.send('d', {
        water: 27 + noise,
        '2/water': (step < 12 ? 27 : 29) + noise,
        air: 0.5,
        light: 2500,
      })
    }
    await count(batch, 10, 110)
    await opened.room.endBatch(batch.id, {})
    const { causes, ruledOut } = await opened.room.diagnosis(batch.id)
    const layers = [...causes, ...ruledOut].find(({ kind }) => kind === 'stratified')
    expect(layers?.evidence[0]).toMatchObject({ role: 'upper-water' })
    expect(layers!.evidence[0]!.value).toBeCloseTo(2, 0)
  })

  it('holds nothing against air that was turned off on purpose', async () => {
    const batch = await start()
    await pass(16)
    await opened.room.recordEvent(batch.id, { kind: 'air-off', by: 'a keeper' })
    await pass(2, { air: 0 })
    await opened.room.recordEvent(batch.id, { kind: 'air-on', by: 'a keeper' })
    await pass(6)
    await opened.room.endBatch(batch.id, {})
    const { causes, ruledOut, verdict } = await opened.room.diagnosis(batch.id)
    expect([...causes, ...ruledOut].map(({ kind }) => kind)).not.toContain('air-lost')
    expect(verdict).toBe('not-counted')
  })

  it('knows an open batch as of now', async () => {
    const batch = await start()
    await pass(3, { waterC: 20 })
    const { causes } = await opened.room.diagnosis(batch.id)
    expect(causes.map(({ kind }) => kind)).not.toContain('harvested-early')
  })

  it('refuses a batch that is not there', async () => {
    await expect(opened.room.diagnosis('none')).rejects.toThrow('none')
  })
})
