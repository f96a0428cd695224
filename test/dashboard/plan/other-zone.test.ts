import { describe, expect, it } from 'vitest'
import * as otherZone from '../../../dashboard/plan/other-zone.ts'

/** A time is one thing to the browser: its spaces do not break. */
const otherZoneWords = (...of: Parameters<typeof otherZone.otherZoneWords>) =>
  otherZone.otherZoneWords(...of).replaceAll('\u00a0', ' ')
const DAY_MS = 86_400_000
const zone = (timeZone: string, locale = 'en-GB') => ({ locale, timeZone })
const NOW_MS = Date.parse('2026-11-25T13:05:00Z')

describe('the plan in another zone than the screen', () => {
  it('says both times, once they differ', () => {
    expect(otherZoneWords(zone('Europe/Vienna'), zone('America/New_York'), NOW_MS, NOW_MS + DAY_MS)).toBe(
      'All times of the plan are those of Europe/Vienna: now it is 14:05 there, 08:05 by this screen’s clock.',
    )
  })

  it('says the days where they are two', () => {
    expect(otherZoneWords(zone('Asia/Tokyo'), zone('America/New_York'), NOW_MS + 5 * 3_600_000, NOW_MS)).toBe(
      'All times of the plan are those of Asia/Tokyo: now it is Thu 26 Nov 03:05 there, Wed 25 Nov 13:05 by this screen’s clock.',
    )
  })

  it('says nothing of two names for the same hours', () => {
    expect(otherZoneWords(zone('Europe/Vienna'), zone('Europe/Rome'), NOW_MS, NOW_MS + 7 * DAY_MS)).toBe('')
    expect(otherZoneWords(zone('UTC'), zone('Etc/UTC'), NOW_MS, NOW_MS + 7 * DAY_MS)).toBe('')
  })

  it('says when clocks that agree will not by the end of the plan', () => {
    // Central Europe sets its clocks forward on 29 March 2026, Tunis never does (IANA tz database).
    const words = otherZoneWords(
      zone('Africa/Tunis'),
      zone('Europe/Vienna'),
      Date.parse('2026-03-28T12:00:00Z'),
      Date.parse('2026-03-30T12:00:00Z'),
    )
    expect(words).toBe(
      'All times of the plan are those of Africa/Tunis. Now this screen’s clock agrees, in 2 days no more: then it is Mon 30 Mar 13:00 there, Mon 30 Mar 14:00 by this screen’s clock.',
    )
  })
})
