import { expect, it } from 'vitest'
import type { Vessel } from '../../../broker/web/api/vessels.ts'
import { warmingText } from '../../../dashboard/words/warming.ts'
import { HOUR_MS, iso, NOW_MS, reading, vessel } from '../room.ts'

/** Best in 16 h by water that is expected at 27 °C. */
function started(waterC: number, change: Partial<NonNullable<Vessel['forecast']>> = {}): Vessel {
  const base = vessel()
  if (!base.forecast) throw new Error('Cannot start a batch: the vessel has no forecast')
  const { forecast, latest } = base
  const harvest = { ...forecast.harvest, best: iso(NOW_MS + 16 * HOUR_MS) }
  const expectedWaterC = { p10: 25, p50: 27, p90: 29 }
  return {
    ...base,
    latest: { ...latest, waterC: reading(waterC) },
    forecast: { ...forecast, reachesHatch: true, harvest, expectedWaterC, ...change },
  }
}
const say = (given: Vessel, full = true, temperatureUnit: 'C' | 'F' = 'C') =>
  warmingText(given, { temperatureUnit }, NOW_MS, full)

it('says what warmth a harvest is reckoned with where the water has not got it', () => {
  // 16 degree-hours an hour at 27 °C and 11 at 22 °C: 16 h become 23.3 h.
  expect(say(started(22))).toBe(
    'Reckoned as if the water, now at 22.0 °C, soon warms to about 27 °C. As cold as it is the harvest comes about 7 h later.',
  )
  expect(say(started(22), false, 'F')).toBe(
    'Reckoned as if the water, now at 71.6 °F, soon warms to about 81 °F.',
  )
  expect(say(started(10))).toMatch(/As cold as it is nothing hatches\.$/)
})

it('is silent where the water is about as expected, where none is heard, and where no harvest is to come', () => {
  expect(say(started(25.5))).toBe('')
  expect(say({ ...started(22), latest: { ...started(22).latest, waterC: null } })).toBe('')
  expect(say(started(22, { reachesHatch: false }))).toBe('')
  const { forecast } = started(22)
  expect(say(started(22, { harvest: { ...forecast!.harvest, best: iso(NOW_MS - HOUR_MS) } }))).toBe('')
  expect(say({ ...started(22), batch: null })).toBe('')
})
