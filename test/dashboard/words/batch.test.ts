import { describe, expect, it } from 'vitest'
import type { Batch } from '../../../broker/web/api/batches.ts'
import { endedBatches, endNote, Outcome } from '../../../dashboard/words/batch.ts'
import { HOUR_MS, iso, NOW_MS, vessel } from '../room.ts'

describe('the note of an ended batch', () => {
  it('is how it ended', () => expect(endNote(null, Outcome.harvested)).toBe('harvested'))
  it('keeps what was noted before', () =>
    expect(endNote(' old cysts ', Outcome.givenUp)).toBe('old cysts; given up'))
  it('never outgrows what the broker takes, and then still says how it ended', () => {
    const note = endNote('x'.repeat(2000), Outcome.harvested)
    expect(note.length).toBeLessThanOrEqual(2000)
    expect(note).toMatch(/; harvested$/)
  })
})

it('the past leaves the open batch out and has the newest first', () => {
  const { batch } = vessel()
  if (!batch) throw new Error('Cannot test the past: the vessel has no batch')
  const ended = (id: string, hoursAgo: number): Batch => ({
    ...batch,
    id,
    startedAt: iso(NOW_MS - hoursAgo * HOUR_MS),
    endedAt: iso(NOW_MS - (hoursAgo - 20) * HOUR_MS),
  })
  expect(endedBatches([ended('old', 90), batch, ended('new', 40)]).map(({ id }) => id)).toEqual([
    'new',
    'old',
  ])
})
