import { expect, it } from 'vitest'
import type { BatchEvent } from '../../../broker/web/api/events.ts'
import { withEvent } from '../../../dashboard/state/log-entries.ts'
import { HOUR_MS, iso, NOW_MS } from '../room.ts'

const entry = (id: string, hoursAgo: number, withdrawnAt: string | null = null): BatchEvent => ({
  id,
  batchId: 'b1',
  at: iso(NOW_MS - hoursAgo * HOUR_MS),
  recordedAt: iso(NOW_MS),
  by: 'Ada',
  withdrawnAt,
  kind: 'first-swimmers',
})

it('keeps a log in the order of its time, each entry once', () => {
  const log = [entry('a', 3), entry('c', 1)]
  expect(withEvent(log, entry('b', 2)).map(({ id }) => id)).toEqual(['a', 'b', 'c'])
  expect(withEvent(log, entry('c', 5)).map(({ id }) => id)).toEqual(['c', 'a'])
  expect(log.map(({ id }) => id)).toEqual(['a', 'c'])
})

it('does not let an older answer bring back what was taken back', () => {
  const back = entry('a', 3, iso(NOW_MS))
  expect(withEvent([back], entry('a', 3))).toEqual([back])
  expect(withEvent([entry('a', 3)], back)).toEqual([back])
})
