import { describe, expect, it } from 'vitest'
import { Compared } from '../../broker/web/api/compare.ts'
import { answer, bench, refusal } from './harness.ts'

const PATH = '/api/v1/batches/compared'

describe('GET /batches/compared', () => {
  it('gives curves in seconds since the start, the oldest batch first', async () => {
    const { ask } = bench()
    const { batches } = await answer(await ask('GET', `${PATH}?of=b1`), 200, Compared)
    expect(batches).toHaveLength(1)
    expect(batches[0]).toMatchObject({ batch: { id: 'b1' }, soakedS: 7200 })
    expect(batches[0]!.waterC!.s[0]).toBeGreaterThanOrEqual(0)
    expect(batches[0]!.waterC!.s).toHaveLength(batches[0]!.waterC!.v.length)
    expect(batches[0]).toMatchObject({ t10S: 15 * 3600, t90S: null })
    const all = await answer(await ask('GET', PATH), 200, Compared)
    const starts = all.batches.map(({ batch }) => Date.parse(batch.startedAt))
    expect(starts).toEqual([...starts].sort((a, b) => a - b))
  })

  it('refuses more than forty, and one that is none', async () => {
    const { ask } = bench()
    const many = Array.from({ length: 41 }, (_, n) => `b${n}`).join(',')
    expect((await refusal(await ask('GET', `${PATH}?of=${many}`), 422)).detail).toMatch(/40 batches at most/)
    expect((await ask('GET', `${PATH}?of=none`)).status).toBe(404)
  })
})
