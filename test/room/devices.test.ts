import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { openTestRoom, type Opened } from './opened.ts'

let opened: Opened
beforeEach(async () => {
  opened = await openTestRoom()
})
afterEach(() => opened.close())

/** Lets the room look at the list of devices again. */
async function lookAgain(): Promise<void> {
  for (let i = 0; i < 3; i++) opened.tick()
  await opened.store.settled()
  await new Promise(resolve => setImmediate(resolve))
}
const names = () => opened.room.snapshot().devices.map(device => device.row.name)

describe('devices of the room', () => {
  it('shows a device that was added from outside before it speaks', async () => {
    await opened.store.addDevice({ name: 'a', secretHash: 'x', createdAtMs: opened.nowMs })
    expect(names()).toEqual([])
    await lookAgain()
    expect(opened.room.snapshot().devices).toMatchObject([
      { row: { name: 'a' }, online: false, channels: [] },
    ])
  })

  it('shows a revoked device as such, drops it when it is removed, and keeps one that is in no list', async () => {
    await opened.store.addDevice({ name: 'a', secretHash: 'x', createdAtMs: opened.nowMs })
    await opened.send('a', { water: 27 })
    await opened.send('foreign', { water: 26 })
    await opened.store.revokeDevice!('a', opened.nowMs)
    await lookAgain()
    await lookAgain()
    expect(names()).toEqual(['a', 'foreign'])
    expect(opened.room.snapshot().devices[0]).toMatchObject({
      online: false,
      row: { revokedAtMs: opened.nowMs },
    })
    // What was on its way does not bring it back.
    await opened.send('a', { water: 27 })
    expect(opened.room.snapshot().devices[0]!.online).toBe(false)
    await opened.store.removeDevice!('a', opened.nowMs)
    await lookAgain()
    await lookAgain()
    expect(names()).toEqual(['foreign'])
    expect(opened.changes.filter(change => change.kind === 'device-removed')).toEqual([
      { kind: 'device-removed', device: 'a' },
    ])
  })

  it('tells at once that a code was redeemed, and that the new password was used', async () => {
    const { store, room } = opened
    const told = () => opened.changes.flatMap(change => (change.kind === 'device' ? [change.device] : []))
    await store.addDevice({ name: 'a', secretHash: 'x', createdAtMs: opened.nowMs })
    await store.offerDeviceSecret!({ name: 'a', secretHash: 'y', untilMs: opened.nowMs + 1000 })
    await opened.paired('a', opened.nowMs)
    expect(told().at(-1)).toMatchObject({
      pairedAtMs: opened.nowMs,
      row: { name: 'a', offeredUntilMs: opened.nowMs + 1000 },
    })
    await store.takeDeviceSecret!('a', 'y')
    await opened.followDevices()
    expect(told().at(-1)).toMatchObject({ pairedAtMs: opened.nowMs, row: { name: 'a' } })
    expect(told().at(-1)!.row.offeredUntilMs).toBeUndefined()
    expect(room.snapshot().devices).toEqual([told().at(-1)])
  })

  it('is not set back by an answer that was overtaken', async () => {
    const { store } = opened
    await store.addDevice({ name: 'a', secretHash: 'x', createdAtMs: opened.nowMs })
    const before = await store.devices()
    let late = (_: typeof before): void => undefined
    const answer = new Promise<typeof before>(resolve => (late = resolve))
    const asked = vi.spyOn(store, 'devices').mockReturnValueOnce(answer)
    const first = opened.followDevices()
    await store.revokeDevice!('a', opened.nowMs)
    await opened.followDevices()
    late(before)
    await first
    asked.mockRestore()
    expect(opened.room.snapshot().devices[0]!.row.revokedAtMs).toBe(opened.nowMs)
  })

  it('lists the channels that a device sends, with what they are assigned to', async () => {
    await opened.send('a', { water: 27, 'wind/speed': 3 })
    const { row } = await opened.room.createVessel({ name: 'Cone 1', litres: 1 })
    await opened.room.assignChannels(row.id, {
      channels: { water: { device: 'a', channel: 'water' } },
      offsets: {},
    })
    expect(opened.room.snapshot().devices[0]!.channels).toMatchObject([
      { name: 'water', latest: { value: 27 }, assignedTo: { vesselId: row.id, role: 'water' } },
      { name: 'wind/speed', latest: { value: 3 }, assignedTo: null },
    ])
  })
})
