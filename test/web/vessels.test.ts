import { describe, expect, it } from 'vitest'
import { VesselList } from '../../broker/web/api/lists.ts'
import { Readings, Vessel } from '../../broker/web/api/vessels.ts'
import { answer, bench, refusal } from './harness.ts'
import { NOW_MS } from './examples.ts'

const HOUR_MS = 3_600_000

describe('vessels', () => {
  it('are listed as they are now, in the units of the names', async () => {
    const { vessels } = await answer(await bench().ask('GET', '/api/v1/vessels'), 200, VesselList)
    expect(vessels).toHaveLength(1)
    expect(vessels[0]).toMatchObject({
      id: 'v1',
      channels: { water: 'bench-1/water', air: null },
      offsets: { water: -0.2, air: 0 },
      latest: {
        waterC: { value: 26.5, at: '2026-11-25T06:40:00.000Z', quality: 'good' },
        roomC: null,
        airLpm: { value: 0.8 },
        lightLx: { value: null, quality: 'reported-fault' },
      },
      batch: { id: 'b1', startedAt: '2026-11-24T20:40:00.000Z', endedAt: null },
      forecast: { stage: 'incubating', harvest: { best: '2026-11-25T21:40:00.000Z' } },
    })
  })

  it('are made, read, changed and retired', async () => {
    const { ask, room } = bench()
    const made = await answer(
      await ask('POST', '/api/v1/vessels', { name: ' Right cone ', litres: 1.5 }),
      201,
      Vessel,
    )
    expect(made).toMatchObject({ name: 'Right cone', litres: 1.5, batch: null, forecast: null })
    const path = `/api/v1/vessels/${made.id}`
    expect(await answer(await ask('GET', path), 200, Vessel)).toEqual(made)
    const changed = await answer(await ask('PATCH', path, { litres: 2 }), 200, Vessel)
    expect(changed).toEqual({ ...made, litres: 2 })

    const gone = await ask('DELETE', path)
    expect([gone.status, await gone.text()]).toEqual([204, ''])
    expect(room.vesselViews.has(made.id)).toBe(false)
    await refusal(await ask('GET', path), 404)
  })

  it.each([
    [{ litres: 1 }, ['name']],
    [{ name: '   ', litres: 1 }, ['name']],
    [{ name: 'x'.repeat(81), litres: 1 }, ['name']],
    [{ name: 7, litres: '1' }, ['name', 'litres']],
    [{ name: 'A', litres: 0 }, ['litres']],
    [{ name: 'A', litres: -1 }, ['litres']],
    [{ name: 'A', litres: 101 }, ['litres']],
    ['{"name":"A","litres":1e999}', ['litres']],
    [[], ['body']],
    ['null', ['body']],
  ])('refuse %j and name the field', async (json, fields) => {
    const problem = await refusal(await bench().ask('POST', '/api/v1/vessels', json), 422)
    expect(problem.fields).toEqual(fields)
  })

  it('refuse a field that a change does not have', async () => {
    const { ask } = bench()
    expect((await refusal(await ask('PATCH', '/api/v1/vessels/v1', { liters: 2 }), 422)).fields).toEqual([
      'liters',
    ])
  })

  it('answer 409 to a name that is taken and to retiring under an open batch', async () => {
    const { ask } = bench()
    const taken = await refusal(await ask('POST', '/api/v1/vessels', { name: 'Left cone', litres: 1 }), 409)
    expect(taken.fields).toEqual(['name'])
    await refusal(await ask('DELETE', '/api/v1/vessels/v1'), 409)
  })

  it.each(['GET', 'PATCH', 'DELETE'])('answer 404 to %s of one that is not there', async method => {
    await refusal(await bench().ask(method, '/api/v1/vessels/none', method === 'PATCH' ? {} : undefined), 404)
  })
})

describe("a vessel's channels", () => {
  it('are assigned by role, with a channel name that may hold slashes; roles left out stay', async () => {
    const { ask, room } = bench()
    const path = '/api/v1/vessels/v1/channels'
    const body = { air: 'bench-1/2/air', light: 'bench-1/light', offsets: { air: 0.1 } }
    const vessel = await answer(await ask('PUT', path, body), 200, Vessel)
    expect(vessel.channels).toEqual({
      water: 'bench-1/water',
      room: null,
      air: 'bench-1/2/air',
      light: 'bench-1/light',
      level: null,
      'upper-water': null,
    })
    expect(vessel.offsets.air).toBe(0.1)
    expect(room.vesselViews.get('v1')?.channels.air).toMatchObject({ device: 'bench-1', channel: '2/air' })

    const without = await answer(await ask('PUT', path, { water: null }), 200, Vessel)
    expect(without.channels).toEqual({ ...vessel.channels, water: null })
  })

  it.each([
    [{ water: 'bench-1' }, 'water'],
    [{ water: '/water' }, 'water'],
    [{ water: 'bench-1/' }, 'water'],
    [{ water: 'bench 1/water' }, 'water'],
    [{ water: 5 }, 'water'],
    [{ water: 'bench-2/water' }, 'water'],
    [{ wather: 'bench-1/water' }, 'wather'],
    [{ offsets: { water: 11 } }, 'offsets.water'],
  ])('refuse %j', async (json, field) => {
    const problem = await refusal(await bench().ask('PUT', '/api/v1/vessels/v1/channels', json), 422)
    expect(problem.fields).toEqual([field])
  })
})

describe("a vessel's readings", () => {
  const path = '/api/v1/vessels/v1/readings'

  it('are columns, from the start of the open batch to now unless asked otherwise', async () => {
    const { ask, room } = bench()
    const readings = await answer(await ask('GET', path), 200, Readings)
    expect(room.readingsAsked).toEqual([
      { vesselId: 'v1', fromMs: NOW_MS - 10 * HOUR_MS, toMs: NOW_MS, points: 600 },
    ])
    expect(readings.channels.water?.t[0]).toBe(NOW_MS - 10 * HOUR_MS)
    expect(readings.to).toBe('2026-11-25T06:40:00.000Z')
  })

  it('are of the last 24 h without a batch', async () => {
    const { ask, room } = bench()
    await ask('POST', '/api/v1/batches/b1/end')
    await ask('GET', path)
    expect(room.readingsAsked[0]).toMatchObject({ fromMs: NOW_MS - 24 * HOUR_MS, toMs: NOW_MS })
  })

  it('are of 24 h before an end that the batch had not begun by', async () => {
    const { ask, room } = bench()
    const toMs = NOW_MS - 11 * HOUR_MS
    await ask('GET', `${path}?to=${toMs}`)
    expect(room.readingsAsked[0]).toMatchObject({ fromMs: toMs - 24 * HOUR_MS, toMs })
  })

  it('take times as ISO 8601 with any offset, or as Unix ms', async () => {
    const { ask, room } = bench()
    const from = encodeURIComponent('2026-11-25T05:00:00+02:00')
    await answer(await ask('GET', `${path}?from=${from}&to=${NOW_MS}&points=2`), 200, Readings)
    expect(room.readingsAsked[0]).toMatchObject({
      fromMs: Date.UTC(2026, 10, 25, 3),
      toMs: NOW_MS,
      points: 2,
    })
  })

  it.each([
    ['from=yesterday', 'from'],
    ['from=2026-11-25', 'from'],
    ['from=2026-02-30T00:00:00Z', 'from'],
    ['from=1e12', 'from'],
    ['from=-1', 'from'],
    ['to=999999999999999', 'to'],
    ['to=1', 'to'],
    ['from=2026-11-25T06:40:00Z&to=2026-11-25T06:40:00Z', 'from'],
    [`from=${NOW_MS + 1}`, 'from'],
    ['points=1', 'points'],
    ['points=5001', 'points'],
    ['points=2.5', 'points'],
    ['points=many', 'points'],
    ['points=5&points=6', 'points'],
  ])('refuse ?%s', async (query, field) => {
    expect((await refusal(await bench().ask('GET', `${path}?${query}`), 422)).fields).toEqual([field])
  })

  it('answer 404 for a vessel that is not there', async () => {
    await refusal(await bench().ask('GET', '/api/v1/vessels/none/readings'), 404)
  })
})
