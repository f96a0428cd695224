import { expect, it } from 'vitest'
import { reckonedAt } from '../../../dashboard/words/reckoned-at.ts'
import { HOUR_MS, NOW_MS, reading, settings, vessel } from '../room.ts'

it('says that a batch has just started where its vessel is heard, and only where it is not, that there are no readings', () => {
  const expected = { expectedWaterC: { p10: 27, p50: 27.5, p90: 28 } }
  const base = vessel()
  const say = (waterC: typeof base.latest.waterC) =>
    reckonedAt(expected, { ...base, latest: { ...base.latest, waterC } }, settings(), NOW_MS)
  expect(say(reading(27.4))).toBe(
    'Just started: the water is at 27.4 °C (81.3 °F), and reckoned at 27.5 °C (81.5 °F) from here on',
  )
  const none = 'No readings: reckoned at 27.5 °C (81.5 °F)'
  expect(say(null)).toBe(none)
  expect(say(reading(27.4, NOW_MS - HOUR_MS))).toBe(none)
  expect(say(reading(-127, NOW_MS, 'disconnected'))).toBe(none)
})
