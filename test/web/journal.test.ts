import { describe, expect, it } from 'vitest'
import { Journal } from '../../broker/web/api/journal.ts'
import { TryOut } from '../../broker/web/api/try-outs.ts'
import { HOUR_MS, NOW_MS } from './examples.ts'
import { answer, bench, refusal } from './harness.ts'

const at = (ms: number) => new Date(ms).toISOString()

describe('the journal', () => {
  it('is of the last week unless asked otherwise, with figures, lives and whom it was told', async () => {
    const { ask, room } = bench()
    const [first] = room.alarmRows.values()
    room.alarmRows.set('x1', { ...first!, id: 'x1', acknowledgedAtMs: first!.raisedAtMs + 90_000 })
    const journal = await answer(await ask('GET', '/api/v1/alarms/journal'), 200, Journal)
    expect(Date.parse(journal.to) - Date.parse(journal.from)).toBe(7 * 24 * HOUR_MS)
    expect(journal.figures.perDay).toMatchObject({ mark: 144, verdict: 'good' })
    expect(journal.figures.acknowledging.medianS).toBe(90)
    const entry = journal.entries.find(({ alarm }) => alarm.id === 'x1')!
    expect(entry.steps[0]).toMatchObject({ at: at(first!.raisedAtMs), calls: true })
    expect(entry.told).toEqual([{ person: 'The keeper', by: 'mail', state: 'waiting', at: at(NOW_MS) }])
    expect(journal.marks).toHaveLength(journal.entries.length)
  })

  it('takes a span, a vessel, a rule, a priority and a page', async () => {
    const { ask, room } = bench()
    const query = `from=${NOW_MS - HOUR_MS}&to=${at(NOW_MS)}&vesselId=v1&rule=air-lost&priority=high&limit=5&skip=10`
    await answer(await ask('GET', `/api/v1/alarms/journal?${query}`), 200, Journal)
    expect(room.journalsAsked.at(-1)).toEqual({
      fromMs: NOW_MS - HOUR_MS,
      toMs: NOW_MS,
      vesselId: 'v1',
      rule: 'air-lost',
      priority: 'high',
      limit: 5,
      skip: 10,
    })
  })

  it('refuses a span that is none, or longer than 400 days, and names the field', async () => {
    const { ask } = bench()
    for (const [from, to] of [
      [NOW_MS, NOW_MS - 1],
      [NOW_MS - 401 * 24 * HOUR_MS, NOW_MS],
    ])
      expect(
        (await refusal(await ask('GET', `/api/v1/alarms/journal?from=${from}&to=${to}`), 422)).fields,
      ).toEqual(['from'])
    await refusal(await ask('GET', '/api/v1/alarms/journal?rule=nothing'), 422)
  })
})

describe('a try-out', () => {
  const rule = { enabled: true, limit: 28.5, deadband: 0.3, onDelayS: 0, offDelayS: 60, priority: 'critical' }

  it('changes only the rules that are sent, and is looked at until it is done', async () => {
    const { ask, tryOuts, room } = bench()
    const path = '/api/v1/alarms/try-outs'
    const begun = await answer(await ask('POST', path, { rules: { 'water-too-hot': rule } }), 202, TryOut)
    expect(begun).toMatchObject({ state: 'waiting', batches: [] })
    const { settings, proposed, newest, batchIds, nowMs } = tryOuts.asked[0]!
    expect(settings).toEqual(room.snapshot().settings)
    expect(proposed).toEqual({
      ...settings.rules,
      'water-too-hot': expect.objectContaining({ limit: 28.5, onDelayMs: 0, offDelayMs: 60_000 }),
    })
    expect({ newest, batchIds, nowMs }).toEqual({ newest: 5, batchIds: undefined, nowMs: NOW_MS })
    const done = await answer(await ask('GET', `${path}/${begun.id}`), 200, TryOut)
    expect(done).toMatchObject({ state: 'done', total: 2 })
    expect(done.batches[0]!.alarms.map(({ change, byMin }) => [change, byMin])).toEqual([
      ['earlier', -10],
      ['gone', 0],
    ])
    expect(done.batches[1]).toMatchObject({ untried: 'no-readings', alarms: [] })
    // Nothing was changed by it.
    expect(room.snapshot().settings).toEqual(settings)
  })

  it('is made on the batches that are named, 40 at most', async () => {
    const { ask, tryOuts } = bench()
    const ids = (count: number) => Array.from({ length: count }, (_, n) => `b${n}`)
    const send = (batchIds: string[]) => ask('POST', '/api/v1/alarms/try-outs', { rules: {}, batchIds })
    await answer(await send(ids(40)), 202, TryOut)
    expect(tryOuts.asked[0]!.batchIds).toEqual(ids(40))
    await refusal(await send(ids(41)), 422)
    await refusal(await send([]), 422)
  })

  it('is ended, found no more, or told to wait', async () => {
    const { ask, tryOuts } = bench()
    const path = '/api/v1/alarms/try-outs'
    const { id } = await answer(await ask('POST', path, { rules: {} }), 202, TryOut)
    expect(await answer(await ask('DELETE', `${path}/${id}`), 200, TryOut)).toMatchObject({
      state: 'cancelled',
    })
    await refusal(await ask('GET', `${path}/nobody`), 404)
    await refusal(await ask('DELETE', `${path}/nobody`), 404)
    await refusal(await ask('POST', path, { rules: { 'water-too-hot': { limit: 1 } } }), 422)
    await refusal(await ask('POST', path, { rules: { 'no-such-rule': rule } }), 422)
    tryOuts.full = true
    const busy = await ask('POST', path, { rules: {} })
    expect(busy.headers.get('retry-after')).toBe('60')
    await refusal(busy, 503)
  })
})
