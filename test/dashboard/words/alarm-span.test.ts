import { expect, it } from 'vitest'
import { alarmSpan } from '../../../dashboard/words/alarm-span.ts'
import { alarm, iso, NOW_MS } from '../room.ts'

const vienna = { locale: 'de-AT', timeZone: 'Europe/Vienna' }
const ago = (min: number) => iso(NOW_MS - min * 60_000)
const span = (before: { at: string; by: string | null }) =>
  alarmSpan({ ...alarm(), raisedAt: ago(60), acknowledgedBefore: before }, NOW_MS, vienna)

it('says who had seen what calls again, and what came back', () => {
  expect(span({ at: ago(30), by: 'Ada' })).toBe('since 11:00, 1 h; was seen by Ada 11:30, and calls again')
  expect(span({ at: ago(150), by: null })).toBe('since 11:00, 1 h; came back, was seen 09:30')
  // Answered anew: only that counts.
  const answered = { ...alarm(), raisedAt: ago(60), acknowledgedAt: ago(5), acknowledgedBy: 'Ben' }
  expect(alarmSpan({ ...answered, acknowledgedBefore: { at: ago(30), by: 'Ada' } }, NOW_MS, vienna)).toBe(
    'since 11:00, 1 h; seen by Ben 11:55',
  )
})
