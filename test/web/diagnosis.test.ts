import { describe, expect, it } from 'vitest'
import { Diagnosis } from '../../broker/web/api/diagnosis.ts'
import { A_DIAGNOSIS } from './a-diagnosis.ts'
import { HOUR_MS, NOW_MS } from './examples.ts'
import { answer, bench, refusal } from './harness.ts'

describe('GET /batches/{id}/diagnosis', () => {
  it('gives what the room made, times as ISO 8601', async () => {
    const { ask } = bench()
    const given = await answer(await ask('GET', '/api/v1/batches/b1/diagnosis'), 200, Diagnosis)
    expect(given).toMatchObject({ verdict: 'causes', balance: A_DIAGNOSIS.balance })
    expect(given.causes[0]?.evidence[0]?.spans).toEqual([
      { from: new Date(NOW_MS - 2 * HOUR_MS).toISOString(), to: new Date(NOW_MS - HOUR_MS).toISOString() },
    ])
  })

  it('answers 404 for a batch that is not there', async () => {
    const { ask } = bench()
    await refusal(await ask('GET', '/api/v1/batches/none/diagnosis'), 404)
  })
})
