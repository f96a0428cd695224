import { describe, expect, it } from 'vitest'
import { BatchList } from '../../broker/web/api/lists.ts'
import { Forecast } from '../../broker/web/api/forecast.ts'
import { Batch } from '../../broker/web/api/batches.ts'
import { Readings } from '../../broker/web/api/vessels.ts'
import { NOW_MS } from './examples.ts'
import { answer, bench, refusal } from './harness.ts'

const NEW = { vesselId: 'v1', litres: 1, cystsG: 2, salinityGpl: 25 }

async function idle() {
  const it = bench()
  await it.ask('POST', '/api/v1/batches/b1/end')
  return it
}

describe('batches', () => {
  it('start, in the past too, with a time of any offset', async () => {
    const { ask, room } = await idle()
    const body = { ...NEW, startedAt: '2026-11-25T05:00:00.000+02:00', lot: 'B' }
    const started = await answer(await ask('POST', '/api/v1/batches', body), 201, Batch)
    expect(started).toMatchObject({
      ...NEW,
      lot: 'B',
      note: null,
      endedAt: null,
      startedAt: '2026-11-25T03:00:00.000Z',
    })
    expect(room.vesselViews.get('v1')?.batch?.id).toBe(started.id)
    expect(await answer(await ask('GET', `/api/v1/batches/${started.id}`), 200, Batch)).toEqual({
      ...started,
      // Asked for alone, it says of which vessel it was, also when that is gone.
      vesselName: 'Left cone',
    })
  })

  it('start now when no time is said', async () => {
    const { ask } = await idle()
    const { startedAt } = await answer(await ask('POST', '/api/v1/batches', NEW), 201, Batch)
    expect(Date.parse(startedAt)).toBe(NOW_MS)
  })

  it.each([
    [{ ...NEW, vesselId: undefined }, 'vesselId'],
    [{ ...NEW, litres: 0 }, 'litres'],
    [{ ...NEW, cystsG: 501 }, 'cystsG'],
    [{ ...NEW, salinityGpl: -1 }, 'salinityGpl'],
    [{ ...NEW, startedAt: '2026-11-25 05:00' }, 'startedAt'],
    [{ ...NEW, startedAt: '2026-11-25T05:00:00' }, 'startedAt'],
    [{ ...NEW, startedAt: '0000-01-01T00:00:00+23:59' }, 'startedAt'],
    [{ ...NEW, startedAt: NOW_MS }, 'startedAt'],
    [{ ...NEW, note: 'x'.repeat(2001) }, 'note'],
  ])('refuse %j', async (json, field) => {
    const { ask } = await idle()
    expect((await refusal(await ask('POST', '/api/v1/batches', json), 422)).fields).toEqual([field])
  })

  it('answer 404 for a vessel that is not there, 409 for one that is busy', async () => {
    const { ask } = bench()
    await refusal(await ask('POST', '/api/v1/batches', { ...NEW, vesselId: 'none' }), 404)
    expect((await refusal(await ask('POST', '/api/v1/batches', NEW), 409)).fields).toEqual(['vesselId'])
  })

  it('end once, with or without a body', async () => {
    const { ask } = bench()
    const body = { endedAt: '2026-11-25T06:00:00Z', note: 'good' }
    const ended = await answer(await ask('POST', '/api/v1/batches/b1/end', body), 200, Batch)
    expect(ended).toMatchObject({ endedAt: '2026-11-25T06:00:00.000Z', note: 'good' })
    await refusal(await ask('POST', '/api/v1/batches/b1/end'), 409)
    await refusal(await ask('POST', '/api/v1/batches/none/end'), 404)
  })

  it('are listed by vessel, by whether they are open, and up to a limit', async () => {
    const { ask } = await idle()
    await ask('POST', '/api/v1/batches', NEW)
    const listed = async (query: string) => {
      const { batches } = await answer(await ask('GET', `/api/v1/batches?${query}`), 200, BatchList)
      return batches.map(batch => batch.endedAt === null)
    }
    expect(await listed('')).toEqual([false, true])
    expect(await listed('open=true&vesselId=v1')).toEqual([true])
    expect(await listed('open=false')).toEqual([false])
    expect(await listed('vesselId=v2')).toEqual([])
    expect(await listed('limit=1')).toHaveLength(1)
    expect((await refusal(await ask('GET', '/api/v1/batches?open=maybe&limit=0'), 422)).fields).toEqual([
      'open',
      'limit',
    ])
  })

  it('have a forecast, with every moment in ISO 8601', async () => {
    const { ask } = bench()
    const forecast = await answer(await ask('GET', '/api/v1/batches/b1/forecast'), 200, Forecast)
    expect(forecast.t10).toEqual({
      p10: '2026-11-25T12:40:00.000Z',
      p50: '2026-11-25T14:40:00.000Z',
      p90: '2026-11-25T17:40:00.000Z',
    })
    expect(forecast.harvest.from).toBe('2026-11-25T19:40:00.000Z')
    expect(forecast.hatchedNow).toEqual({ p10: 0, p50: 0.01, p90: 0.1 })
    await refusal(await ask('GET', '/api/v1/batches/none/forecast'), 404)
  })

  it('have readings from their start to their end', async () => {
    const { ask, room } = bench()
    await ask('POST', '/api/v1/batches/b1/end', { endedAt: '2026-11-25T06:00:00Z' })
    await answer(await ask('GET', '/api/v1/batches/b1/readings?points=1200'), 200, Readings)
    const [asked] = room.readingsAsked
    expect(asked).toEqual({
      vesselId: 'v1',
      fromMs: NOW_MS - 10 * 3_600_000,
      toMs: Date.UTC(2026, 10, 25, 6),
      points: 1200,
    })
  })
})
