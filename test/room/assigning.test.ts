import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { HOUR, openTestRoom, type Opened } from './opened.ts'

let opened: Opened
beforeEach(async () => {
  opened = await openTestRoom()
})
afterEach(() => opened.close())

const water = (device: string) => ({ device, channel: 'water' })
const vessel = (name: string) => opened.room.createVessel({ name, litres: 1 })
const assign = (id: string, device: string | null, offset?: number) =>
  opened.room.assignChannels(id, {
    channels: { water: device === null ? null : water(device) },
    offsets: offset === undefined ? {} : { water: offset },
  })
const history = async (id: string) => {
  const { water } = await opened.room.readings(id, { fromMs: 0, toMs: opened.nowMs + 1, points: 100 })
  return water?.mean ?? []
}

describe('assigning channels', () => {
  it('brings along the past of a channel that belonged to nobody', async () => {
    await opened.send('a', { water: 26 }, opened.nowMs - HOUR)
    const { row } = await vessel('Cone 1')
    const view = await assign(row.id, 'a')
    expect(view.latest.water?.value).toBe(26)
    expect(await history(row.id)).toEqual([26])
  })

  it('takes any channel as the upper water, keeps it beside the water, and judges the water alone', async () => {
    const { row } = await vessel('Cone 1')
    await assign(row.id, 'a')
    await opened.room.assignChannels(row.id, {
      channels: { 'upper-water': { device: 'a', channel: '2/water' } },
      offsets: { 'upper-water': -0.5 },
    })
    await opened.room.startBatch({ vesselId: row.id, litres: 1, cystsG: 2, salinityGpl: 25 })
    for (let minute = 0; minute < 60; minute++) {
      opened.nowMs += HOUR / 60
      await opened.send('a', { water: 27 + 0.0625 * (minute % 3), '2/water': 41 })
    }
    const view = opened.room.vessel(row.id)
    expect(view.latest['upper-water']?.value).toBe(40.5)
    expect(view.latest.water?.value).toBeLessThan(28)
    expect(opened.room.snapshot().alarms).toEqual([])
    const { 'upper-water': upper } = await opened.room.readings(row.id, {
      fromMs: 0,
      toMs: opened.nowMs + 1,
      points: 10,
    })
    expect(upper?.mean.at(-1)).toBeCloseTo(40.5)
    await expect(
      opened.room.assignChannels(row.id, {
        channels: { 'upper-water': { device: 'a', channel: 'water' } },
        offsets: {},
      }),
    ).rejects.toThrow(/water/)
  })

  it('leaves to each vessel what was measured in it', async () => {
    const one = await vessel('Cone 1')
    const two = await vessel('Cone 2')
    await assign(one.row.id, 'a')
    await opened.send('a', { water: 26 })
    opened.nowMs += HOUR
    await assign(two.row.id, 'a')
    expect(opened.room.vessel(one.row.id).channels.water).toBeNull()
    opened.nowMs += HOUR
    await opened.send('a', { water: 28 })
    expect(await history(one.row.id)).toEqual([26])
    expect(await history(two.row.id)).toEqual([28])
    expect(opened.room.vessel(one.row.id).latest.water).toBeNull()
  })

  it('gives a late reading to the vessel that the channel belonged to at that moment', async () => {
    const one = await vessel('Cone 1')
    const two = await vessel('Cone 2')
    await assign(one.row.id, 'a')
    opened.nowMs += HOUR
    await assign(two.row.id, 'a')
    opened.nowMs += HOUR
    await opened.send('a', { water: 25 }, opened.nowMs - 1.5 * HOUR)
    expect(await history(one.row.id)).toEqual([25])
    expect(await history(two.row.id)).toEqual([])
    expect(opened.room.vessel(one.row.id).latest.water).toBeNull()
    expect(opened.room.vessel(two.row.id).latest.water).toBeNull()
  })

  it('adds a calibration offset from its moment on, and keeps what was shown before', async () => {
    const { row } = await vessel('Cone 1')
    await assign(row.id, 'a')
    await opened.send('a', { water: 26 })
    opened.nowMs += HOUR
    await assign(row.id, 'a', -0.5)
    opened.nowMs += 1000
    await opened.send('a', { water: 26 })
    expect(opened.room.vessel(row.id).latest.water?.value).toBe(25.5)
    expect(await history(row.id)).toEqual([26, 25.5])
  })

  it('changes an offset without naming the channel again', async () => {
    const { row } = await vessel('Cone 1')
    await assign(row.id, 'a')
    const view = await opened.room.assignChannels(row.id, { channels: {}, offsets: { water: 0.25 } })
    expect(view.channels.water).toMatchObject({ device: 'a', channel: 'water', offset: 0.25 })
  })

  it('refuses an offset for a role without a channel, naming it', async () => {
    const { row } = await vessel('Cone 1')
    await expect(
      opened.room.assignChannels(row.id, { channels: {}, offsets: { air: 1 } }),
    ).rejects.toMatchObject({ kind: 'invalid', field: 'offsets.air' })
  })

  it('refuses one channel in two roles', async () => {
    const { row } = await vessel('Cone 1')
    await expect(
      opened.room.assignChannels(row.id, { channels: { water: water('a'), room: water('a') }, offsets: {} }),
    ).rejects.toMatchObject({ kind: 'invalid', field: 'room' })
  })

  it('says at the role that was changed that its channel is in use', async () => {
    const { row } = await vessel('Cone 1')
    const [one, two] = [
      { device: 'a', channel: '1/water' },
      { device: 'a', channel: '2/water' },
    ]
    await opened.room.assignChannels(row.id, { channels: { water: one, 'upper-water': two }, offsets: {} })
    await expect(
      opened.room.assignChannels(row.id, { channels: { water: two, 'upper-water': two }, offsets: {} }),
    ).rejects.toMatchObject({
      field: 'water',
      message: expect.stringMatching(/already the upper water probe/),
    })
  })

  it('refuses what measures something else by its name, and takes one temperature for another', async () => {
    const { row } = await vessel('Cone 1')
    const put = (role: 'water' | 'room' | 'air', channel: string) =>
      opened.room.assignChannels(row.id, { channels: { [role]: { device: 'a', channel } }, offsets: {} })
    await expect(put('water', '2/air')).rejects.toMatchObject({
      kind: 'invalid',
      field: 'water',
      message: 'Cannot use a/2/air as the water probe: it measures air',
    })
    await expect(put('air', 'water')).rejects.toMatchObject({ field: 'air' })
    expect((await put('room', 'water')).channels.room?.channel).toBe('water')
    expect((await put('water', 'probe')).channels.water?.channel, 'a name that says nothing').toBe('probe')
  })

  it('swaps two roles of one device in one change', async () => {
    const { row } = await vessel('Cone 1')
    const [one, two] = [
      { device: 'a', channel: '1/water' },
      { device: 'a', channel: '2/water' },
    ]
    await opened.room.assignChannels(row.id, { channels: { water: one, room: two }, offsets: {} })
    const view = await opened.room.assignChannels(row.id, {
      channels: { water: two, room: one },
      offsets: {},
    })
    expect(view.channels.water?.channel).toBe('2/water')
    expect(view.channels.room?.channel).toBe('1/water')
  })

  it('is the same after a restart', async () => {
    const { row } = await vessel('Cone 1')
    await assign(row.id, 'a', 0.5)
    await opened.send('a', { water: 26 })
    const before = opened.room.vessel(row.id)
    opened = await opened.reopen()
    expect(opened.room.vessel(row.id)).toEqual(before)
  })
})
