import { expect, it } from 'vitest'
import { hushed, seenThen } from '../../../dashboard/replay/alarms-then.ts'
import { alarm, iso, NOW_MS } from '../room.ts'

it('what was silent for the work is told as that, and what called waits to be seen', () => {
  const silent = alarm({
    rule: 'air-lost',
    state: 'suppressed-by-design',
    reason: 'suppressed',
    causedBy: null,
  })
  expect(hushed(silent)).toBe(true)
  expect(seenThen(silent)).toBe('Air lost, hushed for the work that went on')
  expect(hushed({ ...silent, reason: 'consequence' })).toBe(false)
  const called = alarm({ rule: 'air-lost', state: 'unacknowledged' })
  expect(seenThen(called)).toBe('Air lost, nobody had seen it')
  const seen = {
    ...called,
    announcedAt: iso(NOW_MS),
    acknowledgedAt: iso(NOW_MS + 60_000),
    acknowledgedBy: 'Ada',
  }
  expect(seenThen(seen)).toBe('Air lost, seen by Ada')
  expect(seenThen({ ...seen, announcedAt: iso(NOW_MS + 120_000) })).toBe(
    'Air lost, seen by Ada, and called again since',
  )
})
