import { describe, expect, it } from 'vitest'
import { Caught } from '../../broker/web/api/sooner.ts'
import { HOUR_MS, NOW_MS } from './examples.ts'
import { answer, bench, refusal } from './harness.ts'

const PATH = '/api/v1/batches/b1/caught'

describe('/batches/{id}/caught', () => {
  it('tells what it is about and when that began, before anything is searched', async () => {
    const { ask, sooner } = bench()
    const given = await answer(await ask('GET', PATH), 200, Caught)
    expect(given).toMatchObject({ cause: 'too-hot', unwatched: null, search: null })
    expect(given.damageAt).toBe(new Date(NOW_MS - 2 * HOUR_MS).toISOString())
    expect(sooner.asked).toEqual([])
  })

  it('asks for a setting of the rules that watch for the cause, and gives what was found', async () => {
    const { ask, sooner } = bench()
    const begun = await answer(await ask('POST', PATH), 202, Caught)
    expect(begun.search).toMatchObject({ state: 'waiting', found: null })
    expect(sooner.asked[0]).toMatchObject({
      batchId: 'b1',
      rules: ['water-heading-hot', 'water-too-hot'],
      damageAtMs: NOW_MS - 2 * HOUR_MS,
    })
    expect(sooner.asked[0]?.others).not.toContain('b1')
    const done = await answer(await ask('GET', PATH), 200, Caught)
    expect(done.search).toMatchObject({
      state: 'done',
      found: { rule: 'water-heading-hot', knob: 'limit', gainedMin: 30, setting: { limit: 60, onDelayS: 0 } },
    })
  })

  it('is ended by DELETE, and refuses when too many wait', async () => {
    const { ask, sooner } = bench()
    await ask('POST', PATH)
    const ended = await answer(await ask('DELETE', PATH), 200, Caught)
    expect(ended.search?.state).toBe('cancelled')
    sooner.full = true
    expect((await refusal(await ask('POST', PATH), 503)).detail).toMatch(/several searches wait/)
    expect((await ask('GET', '/api/v1/batches/none/caught')).status).toBe(404)
  })
})
