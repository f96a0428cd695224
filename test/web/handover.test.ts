import { gunzipSync } from 'node:zlib'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { Guests } from '../../broker/room/handover/guests.ts'
import { Brought, GuestList } from '../../broker/web/api/handover.ts'
import { Diagnosis } from '../../broker/web/api/diagnosis.ts'
import { Replay } from '../../broker/web/api/replay.ts'
import { HOUR, openTestRoom, type Opened } from '../room/opened.ts'
import { answer, bench, refusal } from './harness.ts'

let here: Opened
let there: Opened
beforeEach(async () => {
  here = await openTestRoom()
  there = await openTestRoom(here.nowMs + 100 * HOUR)
})
afterEach(async () => {
  await here.close()
  await there.close()
})

const webOf = (opened: Opened) => {
  const clock = () => opened.nowMs
  const { room, store } = opened
  return bench({
    room,
    store,
    clock,
    guests: new Guests({ store, clock }),
  })
}

async function aBatch(opened: Opened): Promise<string> {
  const { row } = await opened.room.createVessel({ name: 'Cone 1', litres: 1 })
  const channels = { water: { device: 'd', channel: 'water' } }
  await opened.room.assignChannels(row.id, { channels, offsets: {} })
  const { id } = await opened.room.startBatch({
    vesselId: row.id,
    litres: 1,
    cystsG: 2,
    salinityGpl: 25,
    lot: 'A',
  })
  for (let n = 0; n < 60; n++) {
    opened.nowMs += HOUR / 3
    await opened.send('d', { water: 27 + 0.0625 * (n % 3) })
  }
  await opened.room.recordEvent(id, { kind: 'note', text: 'Foam', by: 'Ada' })
  await opened.room.endBatch(id, {})
  return id
}

const post = (body: Uint8Array, type = 'application/gzip'): [undefined, RequestInit] => [
  undefined,
  { headers: { 'content-type': type }, body: body as Uint8Array<ArrayBuffer> },
]

describe('a batch that travels', () => {
  it('is written out here, brought in there, looked at there, and removed', async () => {
    const id = await aBatch(here)
    const out = await webOf(here).ask('GET', `/api/v1/batches/${id}/export?names=false`)
    expect(out.headers.get('content-disposition')).toBe(
      'attachment; filename="cone-1-2026-01-10.batch.json.gz"',
    )
    const file = new Uint8Array(await out.arrayBuffer())
    expect(gunzipSync(file).toString()).not.toContain('Ada')

    const { ask } = webOf(there)
    const brought = await answer(await ask('POST', '/api/v1/brought-in', ...post(file)), 200, Brought)
    expect(brought).toEqual({ batchId: id, isNew: true })
    expect((await answer(await ask('POST', '/api/v1/brought-in', ...post(file)), 200, Brought)).isNew).toBe(
      false,
    )
    const { batches } = await answer(await ask('GET', '/api/v1/brought-in'), 200, GuestList)
    expect(batches).toMatchObject([{ id, vesselName: 'Cone 1', lot: 'A', broughtIn: { names: false } }])

    const replay = await answer(await ask('GET', `/api/v1/batches/${id}/replay`), 200, Replay)
    const own = await answer(await webOf(here).ask('GET', `/api/v1/batches/${id}/replay`), 200, Replay)
    expect(replay.broughtIn).toMatchObject({ at: new Date(there.nowMs).toISOString(), names: false })
    expect(own.broughtIn).toBeUndefined()
    expect(replay.channels).toEqual(own.channels)
    expect(replay.events.map(({ by }) => by)).toEqual(['somebody'])
    await answer(await ask('GET', `/api/v1/batches/${id}/diagnosis`), 200, Diagnosis)
    expect((await ask('GET', `/api/v1/batches/${id}/readings`)).status).toBe(200)
    expect(await (await ask('GET', `/api/v1/batches/${id}/export`)).arrayBuffer()).toHaveProperty(
      'byteLength',
    )
    // It can be looked at, and nothing about it can be changed; and it stands in no list of own ones.
    await refusal(await ask('PATCH', `/api/v1/batches/${id}`, { note: 'mine' }), 404)
    expect(await (await ask('GET', '/api/v1/batches')).json()).toMatchObject({ batches: [] })

    expect((await ask('DELETE', `/api/v1/brought-in/${id}`)).status).toBe(204)
    await refusal(await ask('DELETE', `/api/v1/brought-in/${id}`), 404)
    await refusal(await ask('GET', `/api/v1/batches/${id}/replay`), 404)
  })

  it('is taken into the books where that is asked for, once', async () => {
    const id = await aBatch(here)
    const file = new Uint8Array(
      await (await webOf(here).ask('GET', `/api/v1/batches/${id}/export`)).arrayBuffer(),
    )
    const { ask } = webOf(there)
    await answer(await ask('POST', '/api/v1/brought-in?as=own', ...post(file)), 200, Brought)
    for (const as of ['own', 'guest']) {
      const refused = await ask('POST', `/api/v1/brought-in?as=${as}`, ...post(file))
      expect(await refused.clone().json()).toMatchObject({ batchId: id })
      expect((await refusal(refused, 409)).detail).toContain('own')
    }
    // Beside itself, as often as it is asked for, once.
    const copy = () => ask('POST', '/api/v1/brought-in?as=copy', ...post(file))
    const { batchId, isNew } = await answer(await copy(), 200, Brought)
    expect(isNew).toBe(true)
    expect(batchId).not.toBe(id)
    expect(await answer(await copy(), 200, Brought)).toEqual({ batchId, isNew: false })
    const copied = await answer(await ask('GET', `/api/v1/batches/${batchId}/replay`), 200, Replay)
    expect(copied).toMatchObject({ vessel: { name: 'Cone 1' }, events: [{ by: 'Ada' }] })
    const replay = await answer(await ask('GET', `/api/v1/batches/${id}/replay`), 200, Replay)
    expect(replay).toMatchObject({ vessel: { name: 'Cone 1' }, events: [{ by: 'Ada' }] })
    const own = await answer(await webOf(here).ask('GET', `/api/v1/batches/${id}/replay`), 200, Replay)
    expect(replay.channels).toEqual(own.channels)
    expect(replay.channels.water!.t.length).toBeGreaterThan(50)
  })

  it('is refused in the words of RFC 9457 where it cannot be read', async () => {
    const { ask } = webOf(there)
    const text = (json: object) => new TextEncoder().encode(JSON.stringify(json))
    const json = 'application/json'
    await refusal(await ask('POST', '/api/v1/brought-in', ...post(text({}), 'text/csv')), 415)
    await refusal(await ask('POST', '/api/v1/brought-in', ...post(text({}), json)), 422)
    const newer = text({ format: 'brinewatch-batch', version: 9 })
    expect(await refusal(await ask('POST', '/api/v1/brought-in', ...post(newer, json)), 422)).toMatchObject({
      fields: ['version'],
    })
    await refusal(await ask('POST', '/api/v1/brought-in', ...post(new Uint8Array([0x1f, 0x8b, 8]))), 422)
    await refusal(await ask('GET', '/api/v1/batches/none/export'), 404)
  })
})
