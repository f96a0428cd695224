import { describe, expect, it } from 'vitest'
import { BatchEvent, BatchEventList, Course, LotList } from '../../broker/web/api/events.ts'
import { BatchList } from '../../broker/web/api/lists.ts'
import { Batch } from '../../broker/web/api/batches.ts'
import { NOW_MS } from './examples.ts'
import { answer, bench, refusal } from './harness.ts'

const EVENTS = '/api/v1/batches/b1/events'
const SAMPLE = { sampleMl: 0.25, nauplii: 96, umbrella: 2, embryos: 14 }

describe('what is seen of a batch', () => {
  it.each([
    { kind: 'first-swimmers' },
    { kind: 'note', text: 'foam' },
    { kind: 'count', harvest: true, samples: [SAMPLE, { sampleMl: 1, dilution: 10, nauplii: 30 }] },
  ])('is written down: %j', async body => {
    const { ask } = bench()
    const written = await answer(await ask('POST', EVENTS, body), 201, BatchEvent)
    expect(written).toMatchObject({
      ...body,
      batchId: 'b1',
      at: new Date(NOW_MS).toISOString(),
      by: 'somebody at the screen',
      withdrawnAt: null,
    })
    const { events } = await answer(await ask('GET', EVENTS), 200, BatchEventList)
    expect(events).toEqual([written])
  })

  it('has its own time and person, and can be taken back', async () => {
    const { ask } = bench()
    const body = { kind: 'first-swimmers', at: '2026-11-25T07:10:00+02:00', by: 'Kim' }
    const written = await answer(await ask('POST', EVENTS, body), 201, BatchEvent)
    expect(written).toMatchObject({ at: '2026-11-25T05:10:00.000Z', by: 'Kim' })
    const taken = await answer(await ask('POST', `${EVENTS}/${written.id}/withdraw`), 200, BatchEvent)
    expect(taken).toEqual({ ...written, withdrawnAt: new Date(NOW_MS).toISOString() })
    await refusal(await ask('POST', `${EVENTS}/none/withdraw`), 404)
  })

  it.each([
    [{ kind: 'tapped' }, 'kind'],
    [{ kind: 'note', text: '' }, 'text'],
    [{ kind: 'first-swimmers', when: 'now' }, 'when'],
    [{ kind: 'count', samples: [{ ...SAMPLE, unhatched: 3 }] }, 'samples.0.unhatched'],
    [{ kind: 'first-swimmers', at: 'this morning' }, 'at'],
    [{ kind: 'first-swimmers', at: '1990-01-01T00:00:00Z' }, 'at'],
    [{ kind: 'count', samples: [] }, 'samples'],
    [{ kind: 'count', samples: [{ ...SAMPLE, nauplii: -1 }] }, 'samples.0.nauplii'],
    [{ kind: 'count', samples: [{ ...SAMPLE, sampleMl: 0 }] }, 'samples.0.sampleMl'],
    [{ kind: 'count', samples: [{ ...SAMPLE, nauplii: 1.5 }] }, 'samples.0.nauplii'],
    [{ kind: 'count', samples: Array.from({ length: 101 }, () => SAMPLE) }, 'samples'],
  ])('refuses %j', async (body, field) => {
    const { ask } = bench()
    expect((await refusal(await ask('POST', EVENTS, body), 422)).fields).toEqual([field])
  })

  it('is unknown for a batch that is not there', async () => {
    const { ask } = bench()
    await refusal(await ask('GET', '/api/v1/batches/none/events'), 404)
    await refusal(await ask('POST', '/api/v1/batches/none/events', { kind: 'first-swimmers' }), 404)
  })
})

describe('a batch', () => {
  it('can be corrected, and its goal chosen', async () => {
    const { ask } = bench()
    const body = { goal: 'smallest', lot: null, cystsG: 1.5 }
    expect(await answer(await ask('PATCH', '/api/v1/batches/b1', body), 200, Batch)).toMatchObject(body)
    expect(
      (await refusal(await ask('PATCH', '/api/v1/batches/b1', { goal: 'biggest' }), 422)).fields,
    ).toEqual(['goal'])
    await refusal(await ask('PATCH', '/api/v1/batches/none', body), 404)
  })

  it('is discarded when it was a mistake', async () => {
    const { ask } = bench()
    expect((await ask('POST', '/api/v1/batches/b1/discard')).status).toBe(204)
    await refusal(await ask('GET', '/api/v1/batches/b1'), 404)
    await refusal(await ask('POST', '/api/v1/batches/b1/discard'), 404)
  })

  it('is found by its lot', async () => {
    const { ask } = bench()
    const found = async (lot: string) =>
      (await answer(await ask('GET', `/api/v1/batches?lot=${lot}`), 200, BatchList)).batches.length
    expect([await found('A'), await found('B')]).toEqual([1, 0])
  })

  it('has a course for drawing, of the span that is asked for', async () => {
    const { ask, room } = bench()
    const course = await answer(await ask('GET', '/api/v1/batches/b1/course?points=50'), 200, Course)
    expect(course.t).toHaveLength(2)
    expect(course.waterC.p50).toEqual([null, 27])
    await answer(
      await ask('GET', '/api/v1/batches/b1/course?from=2026-11-25T00:00:00Z&to=1795590000000'),
      200,
      Course,
    )
    expect(room.coursesAsked[0]).toMatchObject({ points: 50 })
    expect(room.coursesAsked[1]).toMatchObject({ fromMs: Date.UTC(2026, 10, 25), toMs: 1_795_590_000_000 })
    expect((await refusal(await ask('GET', '/api/v1/batches/b1/course?points=1'), 422)).fields).toEqual([
      'points',
    ])
  })
})

describe('lots', () => {
  it('are listed with what is known of each, in words and numbers', async () => {
    const { ask } = bench()
    const { lots } = await answer(await ask('GET', '/api/v1/lots'), 200, LotList)
    expect(lots[0]).toMatchObject({ name: 'A', batches: 1 })
    expect(lots[0]!.words).not.toBe('')
  })
})
