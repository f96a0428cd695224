import { describe, expect, it } from 'vitest'
import { cleaningDue, CLEANING_CAUTIONS, USUAL_CLEANING } from '../../../broker/hatch/care/cleaning.ts'

const DAY_MS = 86_400_000
const due = (
  cleanings: { atMs: number; how: 'hot-water' | 'disinfected' }[],
  ended: number[],
  nowMs: number,
  declining: string | null = null,
) => cleaningDue(cleanings, ended, declining, USUAL_CLEANING, nowMs)

describe('what is to be cleaned', () => {
  it('is due for hot water after each batch, until it was cleaned', () => {
    expect(due([], [], DAY_MS).hotWater).toBeNull()
    expect(due([], [5], DAY_MS).hotWater).toEqual({ name: 'after-batch', endedAtMs: 5 })
    expect(due([{ atMs: 6, how: 'hot-water' }], [5], DAY_MS).hotWater).toBeNull()
    expect(due([{ atMs: 6, how: 'disinfected' }], [5], DAY_MS).hotWater).toBeNull()
    expect(due([{ atMs: 6, how: 'hot-water' }], [5, 9], DAY_MS).hotWater).not.toBeNull()
  })

  it('is due for bleach after so many batches, hot water or not', () => {
    const batches = Array.from({ length: USUAL_CLEANING.everyBatches }, (_, at) => at * 100)
    expect(due([{ atMs: 950, how: 'hot-water' }], batches, 1000).disinfect).toEqual({
      name: 'batches',
      batches: 10,
    })
    expect(due([], batches.slice(1), 1000).disinfect).toBeNull()
    expect(due([{ atMs: 450, how: 'disinfected' }], batches, 1000)).toMatchObject({
      disinfect: null,
      batchesSince: 5,
    })
  })

  it('is due for bleach after so many days with a batch in them, and at once when the hatch declines', () => {
    const since = { atMs: 0, how: 'disinfected' as const }
    expect(due([since], [DAY_MS], 30 * DAY_MS).disinfect).toEqual({ name: 'days', days: 30 })
    expect(due([since], [DAY_MS], 29.9 * DAY_MS).disinfect).toBeNull()
    expect(due([since], [], 300 * DAY_MS).disinfect).toBeNull()
    expect(due([since], [DAY_MS], 2 * DAY_MS, 'spring').disinfect).toEqual({
      name: 'hatch-declines',
      lot: 'spring',
    })
    expect(
      due([{ atMs: 2 * DAY_MS, how: 'disinfected' }], [DAY_MS], 3 * DAY_MS, 'spring').disinfect,
    ).toBeNull()
  })

  it('never speaks of bleach without its cautions', () => {
    const words = CLEANING_CAUTIONS.disinfected.join(' ')
    for (const caution of [/gloves/i, /acid/i, /ammonia/i, /rinse/i, /neutralise/i])
      expect(words).toMatch(caution)
  })
})
