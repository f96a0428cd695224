import { describe, expect, it } from 'vitest'
import { Replay } from '../../broker/web/api/replay.ts'
import { ROLES } from '../../broker/room/roles.ts'
import { HOUR_MS, NOW_MS } from './examples.ts'
import { answer, bench, refusal } from './harness.ts'

describe('GET /batches/{id}/replay', () => {
  it('gives all of an open batch up to now in one answer', async () => {
    const { ask, room } = bench()
    const given = await answer(await ask('GET', '/api/v1/batches/b1/replay?points=900'), 200, Replay)
    expect(given).toMatchObject({
      batch: { id: 'b1' },
      vessel: { id: 'v1', name: 'Left cone' },
      from: new Date(NOW_MS - 10 * HOUR_MS).toISOString(),
      to: new Date(NOW_MS).toISOString(),
    })
    // Each sensor is read once, the water before the others.
    const asked = room.readingsAsked
    expect(asked.flatMap(({ roles }) => roles ?? [])).toEqual([...ROLES])
    for (const query of asked)
      expect(query).toMatchObject({
        vesselId: 'v1',
        fromMs: NOW_MS - 10 * HOUR_MS,
        toMs: NOW_MS,
        points: 900,
      })
    expect(room.journalsAsked.at(-1)).toMatchObject({ fromMs: NOW_MS - 10 * HOUR_MS, toMs: NOW_MS + 1 })
    expect(given.reminders.map(({ kind }) => kind)).toContain('knock-down')
    expect(given.reminders.every(({ due }) => Date.parse(due) <= NOW_MS)).toBe(true)
  })

  it('says of a batch that was written down afterwards only what it asked for since', async () => {
    const { ask, room } = bench()
    const reminders = async (knownSinceMs: number) => {
      Object.assign(room, { batchKnownSince: async () => knownSinceMs })
      return (await answer(await ask('GET', '/api/v1/batches/b1/replay'), 200, Replay)).reminders
    }
    // The ring is to be knocked down from 4 to 10 h after the start, 10 h before now.
    const [asked] = await reminders(NOW_MS - 3 * HOUR_MS)
    expect(asked).toMatchObject({ kind: 'knock-down', due: new Date(NOW_MS - 3 * HOUR_MS).toISOString() })
    expect(await reminders(NOW_MS + 1)).toEqual([])
  })

  it('leaves out what was withdrawn', async () => {
    const { ask, room } = bench()
    const kept = await room.recordEvent('b1', { kind: 'note', text: 'Foam', by: 'Ada' })
    const wrong = await room.recordEvent('b1', { kind: 'note', text: 'Slip', by: 'Ada' })
    await room.withdrawEvent('b1', wrong.id)
    const { events } = await answer(await ask('GET', '/api/v1/batches/b1/replay'), 200, Replay)
    expect(events.map(({ id }) => id)).toEqual([kept.id])
  })

  it('gives a batch whose vessel is gone without its readings', async () => {
    const { ask, room } = bench()
    room.vesselViews.delete('v1')
    const given = await answer(await ask('GET', '/api/v1/batches/b1/replay'), 200, Replay)
    expect(given).toMatchObject({ vessel: null, channels: {} })
  })

  it('refuses a batch that is not there, and more points than a screen has', async () => {
    const { ask } = bench()
    await refusal(await ask('GET', '/api/v1/batches/none/replay'), 404)
    await refusal(await ask('GET', '/api/v1/batches/b1/replay?points=5001'), 422)
  })
})
