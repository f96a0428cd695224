import { describe, expect, it } from 'vitest'
import { DeviceList, QuarantineList } from '../../broker/web/api/lists.ts'
import { DeviceCredential } from '../../broker/web/api/requests.ts'
import { secretMatches } from '../../broker/secrets.ts'
import { NOW_MS } from './examples.ts'
import { answer, bench, refusal } from './harness.ts'

describe('devices', () => {
  it('are listed with what they last said; one that never spoke is there too, and a revoked one until it is removed', async () => {
    const { ask, store } = bench()
    const silent = { secretHash: 'x', createdAtMs: NOW_MS, revokedAtMs: null }
    store.deviceRows.push({ ...silent, name: 'bench-2' }, { ...silent, name: 'bench-3', revokedAtMs: NOW_MS })
    store.deviceRows.push({ ...silent, name: 'bench-4', revokedAtMs: NOW_MS, removedAtMs: NOW_MS })
    const { devices } = await answer(await ask('GET', '/api/v1/devices'), 200, DeviceList)
    expect(devices.map(device => [device.name, device.online, device.revokedAt])).toEqual([
      ['bench-1', true, null],
      ['bench-2', false, null],
      ['bench-3', false, '2026-11-25T06:40:00.000Z'],
    ])
    expect(devices[0]?.channels[0]).toEqual({
      name: 'water',
      unit: 'Cel',
      latest: { value: 26.5, at: '2026-11-25T06:40:00.000Z', quality: 'good' },
      assignedTo: { vesselId: 'v1', role: 'water' },
    })
  })

  it('are no longer listed once removed, though the room still knows what they said', async () => {
    const { ask, store } = bench()
    store.deviceRows.push({
      name: 'bench-1',
      secretHash: 'x',
      createdAtMs: 0,
      revokedAtMs: NOW_MS,
      removedAtMs: NOW_MS,
    })
    expect((await answer(await ask('GET', '/api/v1/devices'), 200, DeviceList)).devices).toEqual([])
  })

  it('get a password of their own, of which only a hash is kept and nothing is logged', async () => {
    const { ask, store, logged } = bench()
    const one = await answer(await ask('POST', '/api/v1/devices', { name: 'bench-2' }), 201, DeviceCredential)
    const two = await answer(await ask('POST', '/api/v1/devices', { name: 'bench-3' }), 201, DeviceCredential)
    expect(one.device).toBe('bench-2')
    expect(one.password).not.toBe(two.password)
    // 160 bits need 27 characters of base64url.
    expect(one.password.length).toBeGreaterThanOrEqual(27)
    const [row] = store.deviceRows
    expect(row?.secretHash).not.toContain(one.password)
    expect(secretMatches(one.password, row?.secretHash ?? '')).toBe(true)
    expect(secretMatches(two.password, row?.secretHash ?? '')).toBe(false)
    expect(logged.join('')).not.toContain(one.password)
  })

  it('refuse a name that is taken, and one that cannot be a topic level', async () => {
    const { ask } = bench()
    await ask('POST', '/api/v1/devices', { name: 'bench-2' })
    await refusal(await ask('POST', '/api/v1/devices', { name: 'bench-2' }), 409)
    for (const name of ['', '-a', 'a/b', 'a b', '+', '#', 'x'.repeat(64), 5, undefined]) {
      expect((await refusal(await ask('POST', '/api/v1/devices', { name }), 422)).fields).toEqual(['name'])
    }
  })
})

describe('the quarantine', () => {
  it('lists what could not be read, the latest first, page by page', async () => {
    const { ask, store } = bench()
    for (const id of [1, 2, 3]) {
      store.quarantineRows.push({
        id,
        receivedAtMs: NOW_MS,
        device: 'bench-1',
        topic: 'brinewatch/v1/bench-1/measurements',
        reason: 'not-senml',
        detail: 'the payload is not JSON',
        payload: new Uint8Array([0xff, 0x00]),
        bytes: 2,
      })
    }
    const page = async (query: string) => {
      const list = await answer(await ask('GET', `/api/v1/quarantine${query}`), 200, QuarantineList)
      return list.quarantine
    }
    const [latest] = await page('?limit=2')
    expect(latest).toMatchObject({ id: 3, reason: 'not-senml', payloadBase64: '/wA=', bytes: 2 })
    expect((await page('?limit=2&before=3')).map(item => item.id)).toEqual([2, 1])
    expect((await refusal(await ask('GET', '/api/v1/quarantine?limit=0'), 422)).fields).toEqual(['limit'])
  })
})
