import { describe, expect, it } from 'vitest'
import {
  justStarted,
  noteStarted,
  startedUncleaned,
  takenBack,
  UNDO_START_MS,
} from '../../../dashboard/book/just-started.ts'
import { startedText } from '../../../dashboard/book/started-words.ts'
import { HOUR_MS, iso, NOW_MS } from '../room.ts'

const zone = { locale: 'en-US', timeZone: 'Europe/Vienna' } // noon is 11:00 UTC
const batch = { litres: 1, cystsG: 2.5, lot: 'B', startedAt: iso(NOW_MS) }
const t10 = (hours: number) => ({ p10: iso(NOW_MS), p50: iso(NOW_MS + hours * HOUR_MS), p90: iso(NOW_MS) })

describe('what was started', () => {
  it('is said with its vessel, lot, dose and water, and what comes first', () =>
    expect(startedText('Cone 3', batch, { t10: t10(20), reachesHatch: true }, NOW_MS, zone)).toBe(
      'Started: Cone 3, lot B, 2.5 g in 1 L. Knock the ring down at 4:00\u00a0PM, first look tomorrow 8:00\u00a0AM.',
    ))
  it('promises no look where nothing hatches, and no ring that is long dry', () => {
    const late = { ...batch, lot: 'Lot B', startedAt: iso(NOW_MS - 6 * HOUR_MS) }
    expect(startedText('Cone 3', late, null, NOW_MS, zone)).toBe('Started: Cone 3, Lot B, 2.5 g in 1 L.')
  })
  it('announces no first look that lies behind', () => {
    const old = { ...batch, startedAt: iso(NOW_MS - 26 * HOUR_MS) }
    const past = startedText('Cone 3', old, { t10: t10(-10), reachesHatch: true }, NOW_MS, zone)
    expect(past).toBe('Started: Cone 3, lot B, 2.5 g in 1 L.')
  })
  it('says that a cleaning was passed over, and when it is asked for again', () => {
    expect(startedText('Cone 3', batch, null, NOW_MS, zone, true)).toMatch(
      /not ticked off: it is asked for again/,
    )
    noteStarted('b', 0, true)
    noteStarted('c', 0)
    expect([startedUncleaned('b'), startedUncleaned('c')]).toEqual([true, false])
  })
  it('can be taken back for a bounded time, and once', () => {
    expect(justStarted('a', 0)).toBe(false)
    noteStarted('a', 0)
    expect(justStarted('a', UNDO_START_MS - 1)).toBe(true)
    expect(justStarted('a', UNDO_START_MS)).toBe(false)
    takenBack('a')
    expect(justStarted('a', 1)).toBe(false)
  })
})
