import { expect, it } from 'vitest'
import { windowMoved } from '../../../dashboard/words/goal.ts'
import { HOUR_MS, iso, NOW_MS, vessel } from '../room.ts'

const zone = { locale: 'de-AT', timeZone: 'Europe/Vienna' } // noon is 11:00 UTC

it('says how the window moves, and where it is now', () => {
  const { forecast } = vessel()
  if (!forecast) throw new Error('Cannot move a window: the vessel has no forecast')
  const from = (hours: number) => ({
    ...forecast.harvest,
    from: iso(NOW_MS + hours * HOUR_MS),
    best: iso(NOW_MS + (hours + 1) * HOUR_MS),
    until: iso(NOW_MS + (hours + 3) * HOUR_MS),
  })
  const say = (before: number, after: number) =>
    windowMoved(from(before), from(after), NOW_MS, zone).replaceAll('\u00a0', ' ')
  expect(say(4, 2.5)).toBe("The window's best moves by −1 h 30; it is now 14:30–17:30.")
  expect(say(2, 3)).toMatch(/by \+1 h; it is now 15:00–18:00/)
  // The forecast went on since: the window is told as it is now, and once something else moved it, not at all.
  const later = (hours: number) => windowMoved(from(4), from(2.5), NOW_MS, zone, from(hours))
  expect(later(2.75).replaceAll('\u00a0', ' ')).toBe(
    "The window's best moves by −1 h 30; it is now 14:45–17:45.",
  )
  expect(later(5)).toBe('')
  expect(say(1, 10), 'each day is said').toMatch(/it is now 22:00–tomorrow 01:00/)
  expect(say(2, 2.02)).toMatch(/stays about where it was/)
})
