import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { Quality } from '../../broker/intake/reading.ts'
import { type Calibrating, openCalibrating } from '../../broker/room/calibrating.ts'
import { RoomError } from '../../broker/room/contract.ts'
import { openTestRoom, type Opened } from './opened.ts'

const DAY = 86_400_000
const probe = { device: 'a', channel: 'water' }
let opened: Opened
let calibrating: Calibrating
let ids = 0
const open = async () => {
  calibrating = await openCalibrating({
    store: opened.store,
    room: opened.room,
    clock: () => opened.nowMs,
    newId: () => `c${ids++}`,
    remindAlso: opened.remindAlso,
    correctBy: opened.correctBy,
  })
}
beforeEach(async () => {
  opened = await openTestRoom()
  await open()
})
afterEach(() => opened.close())

/** The probe stands at one value for so many minutes; resolves to the span. */
async function stand(value: number, minutes = 3, quality: Quality = Quality.good) {
  const fromMs = opened.nowMs
  for (let at = 0; at <= minutes * 6; at++) {
    await opened.send('a', { water: value }, opened.nowMs, quality)
    opened.nowMs += 10_000
  }
  return { fromMs, toMs: opened.nowMs - 10_000 }
}
const ice = (span: { fromMs: number; toMs: number }) => ({ reference: 'ice' as const, ...span })
const warm = (span: { fromMs: number; toMs: number }, referenceC: number) => ({
  reference: 'thermometer' as const,
  referenceC,
  referencePlusMinusC: 0.2,
  ...span,
})

describe('calibrating a probe', () => {
  it('tells whether the probe is at rest, as it measures', async () => {
    await stand(0.25, 1)
    expect(await calibrating.look(probe)).toMatchObject({
      newest: { value: 0.25 },
      steadiness: { steady: false },
    })
    await stand(0.25, 2, Quality.outOfWater)
    const look = await calibrating.look(probe)
    expect(look).toMatchObject({
      steadiness: { steady: true, meanC: 0.25 },
      assignedTo: null,
      correction: null,
    })
  })

  it('sets the probe right from then on, wherever it is put, and what was shown before stays', async () => {
    const { row } = await opened.room.createVessel({ name: 'Cone 1', litres: 1 })
    await opened.room.assignChannels(row.id, { channels: { water: probe }, offsets: {} })
    const points = [ice(await stand(0.5)), warm(await stand(28), 27.9)]
    const beforeMs = opened.nowMs
    const made = await calibrating.keep(probe, points, 'Ana')
    opened.nowMs += 10_000
    await opened.send('a', { water: 28 })
    expect(opened.room.vessel(row.id).latest.water?.value).toBeCloseTo(27.9, 10)
    expect(opened.room.vessel(row.id).channels.water).toMatchObject({
      gain: made.gain,
      uncertainty: made.uncertaintyC,
    })
    const { water } = await opened.room.readings(row.id, { fromMs: 0, toMs: opened.nowMs + 1, points: 1000 })
    expect(water!.mean[water!.t.findIndex(t => t >= beforeMs) - 1]).toBe(28)
    expect(water!.mean.at(-1)).toBeCloseTo(27.9, 10)
    // After a start, and on another vessel.
    opened = await opened.reopen()
    await open()
    expect(opened.room.vessel(row.id).latest.water?.value).toBeCloseTo(27.9, 10)
    const other = await opened.room.createVessel({ name: 'Cone 2', litres: 1 })
    const view = await opened.room.assignChannels(other.row.id, { channels: { water: probe }, offsets: {} })
    expect(view.channels.water).toMatchObject({ offset: made.offset, gain: made.gain })
  })

  it('goes back to the one before when it is taken back, and keeps both on record', async () => {
    const { row } = await opened.room.createVessel({ name: 'Cone 1', litres: 1 })
    await opened.room.assignChannels(row.id, { channels: { water: probe }, offsets: {} })
    const first = await calibrating.keep(probe, [ice(await stand(0.5))], 'Ana')
    const second = await calibrating.keep(probe, [ice(await stand(1))], 'Ana')
    expect(opened.room.vessel(row.id).channels.water?.offset).toBeCloseTo(-1, 10)
    opened.nowMs += 1000
    await calibrating.withdraw(second.id)
    expect(opened.room.vessel(row.id).channels.water?.offset).toBeCloseTo(-0.5, 10)
    await calibrating.withdraw(first.id)
    const { offset, uncertainty } = opened.room.vessel(row.id).channels.water!
    expect([offset, uncertainty]).toEqual([0, undefined])
    expect(calibrating.history(probe).map(({ id, withdrawnAtMs }) => [id, withdrawnAtMs !== null])).toEqual([
      [second.id, true],
      [first.id, true],
    ])
  })

  it('refuses what is absurd, names the point, and changes nothing', async () => {
    const refused = async (points: Parameters<Calibrating['keep']>[1]) => {
      const error = await calibrating.keep(probe, points, 'Ana').catch((thrown: unknown) => thrown)
      expect(error).toBeInstanceOf(RoomError)
      return error as RoomError
    }
    const room = await stand(21)
    expect(await refused([ice(room)])).toMatchObject({ kind: 'invalid', field: 'points.0' })
    expect((await refused([ice(room)])).message).toContain('probably another probe')
    expect((await refused([ice(await stand(0, 1))])).message).toContain('not at rest')
    expect((await refused([ice({ fromMs: opened.nowMs, toMs: opened.nowMs })])).message).toContain('span')
    // An all-zero scratchpad is exactly what a dead probe sends.
    opened.nowMs += DAY
    expect((await refused([ice(await stand(0, 3, Quality.allZero))])).message).toContain('no good reading')
    expect(await refused([warm(await stand(28), NaN)])).toMatchObject({ field: 'points.0.referenceC' })
    expect(calibrating.history()).toEqual([])
  })

  it('reminds a year later, or when it is set, or never', async () => {
    await calibrating.keep(probe, [ice(await stand(0.5))], 'Ana')
    const due = () => {
      opened.tick()
      return opened.room.reminders().map(({ title }) => title)
    }
    opened.nowMs += 364 * DAY
    expect(due()).toEqual([])
    opened.nowMs += 2 * DAY
    expect(due()).toEqual(['Calibrate a/water'])
    const { settings } = opened.room.snapshot()
    await opened.room.changeSettings({ ...settings, calibrateEveryDays: 0 })
    expect(due()).toEqual([])
    await opened.room.changeSettings({ ...settings, calibrateEveryDays: 180 })
    // Due for longer than it makes sense.
    expect(due()).toEqual([])
    await opened.room.changeSettings({ ...settings, calibrateEveryDays: 300 })
    expect(due()).toEqual(['Calibrate a/water'])
  })
})
