import { describe, expect, it } from 'vitest'
import type { Vessel } from '../../../broker/web/api/vessels.ts'
import type { Alarm } from '../../../broker/web/api/schemas.ts'
import { alarmNow, aroundAction } from '../../../dashboard/words/alarm-now.ts'
import type { Trend } from '../../../dashboard/words/trend.ts'
import { alarm, NOW_MS, reading, settings, vessel } from '../room.ts'

const nothing = {
  waterC: null,
  upperWaterC: null,
  roomC: null,
  airLpm: null,
  lightLx: null,
  levelShare: null,
}
const now = (
  rule: Alarm['rule'],
  latest: Partial<Vessel['latest']>,
  { live = true, trend = null }: { live?: boolean; trend?: Trend | null } = {},
) =>
  alarmNow(
    alarm({ rule, value: 1, limit: 2 }),
    vessel({ latest: { ...nothing, ...latest } }),
    settings(),
    NOW_MS,
    live,
    trend,
  )

describe('how bad it is now', () => {
  it('is the newest water in both units with its trend, not what raised the alarm', () => {
    expect(now('water-too-hot', { waterC: reading(32.8) }, { trend: 'rising' })).toEqual({
      value: '32.8 °C',
      told: '32.8 °C (91.0 °F) now, rising',
      against: 'limit 2.0 °C',
    })
    expect(now('water-too-cool', { waterC: reading(20) }).told).toBe('20.0 °C (68.0 °F) now')
  })
  it('has one more digit where one would look like the limit that it is not, and so has the limit', () =>
    expect(now('water-heading-hot', { waterC: reading(29.375) })).toEqual({
      value: '29.38 °C',
      told: '29.38 °C (84.88 °F) now',
      against: 'limit 29.40 °C',
    }))
  it('is never called now when it is old', () => {
    const old = { waterC: reading(32.8, NOW_MS - 12 * 60_000) }
    expect(now('water-too-hot', old, { trend: 'rising' }).told).toBe('32.8 °C (91.0 °F), 12 min ago')
    const lost = now('water-too-hot', { waterC: reading(32.8) }, { live: false, trend: 'rising' })
    expect(lost.told).toBe('32.8 °C (91.0 °F) when last heard')
  })
  it('is a fault in words where no number can be believed', () => {
    expect(now('probe-fault', { waterC: reading(-127, NOW_MS, 'disconnected') }).told).toBe(
      'now: probe unplugged',
    )
    expect(now('water-too-hot', {}).told).toBe('not known now')
  })
  it('is each rule’s own measure', () => {
    expect(now('air-lost', { airLpm: reading(0.02) }).told).toBe('0.02 l/min now')
    expect(now('light-out', { lightLx: reading(140) }).told).toBe('140 lx now')
    const silent = { waterC: reading(27, NOW_MS - 1_200_000), airLpm: reading(1, NOW_MS - 900_000) }
    expect(now('device-silent', silent).told).toBe('last heard 15 min ago')
    expect(now('device-silent', {}).told).toBe('never heard')
    const oneSilent = { waterC: reading(27, NOW_MS - 600_000), airLpm: reading(1, NOW_MS - 5000) }
    expect(now('device-silent', oneSilent).told).toBe('water: none for 10 min')
  })
})

describe('what it is held against', () => {
  const against = (rule: Alarm['rule'], limit: number | null, unit: 'C' | 'F' = 'C') =>
    alarmNow(
      alarm({ rule, limit }),
      vessel(), // 1.4 L
      { ...settings(), temperatureUnit: unit },
      NOW_MS,
      true,
      null,
    ).against

  it('is the limit that it crossed, in the unit that is measured', () => {
    expect(against('water-too-hot', 29.4)).toBe('limit 29.4 °C')
    expect(against('water-too-hot', 29.4, 'F')).toBe('limit 84.9 °F')
    expect(against('air-lost', 0.05), 'for all the water of the batch').toBe('needs 0.07 l/min')
    expect(against('light-out', 200)).toBe('needs 200 lx')
    expect(against('device-silent', 180)).toBe('calls after 3 min')
  })
  it('is the heat limit for water that heads for it, not the minutes ahead', () =>
    expect(against('water-heading-hot', 30)).toBe('limit 29.4 °C'))
  it('is nothing where there is no number', () => expect(against('probe-fault', null)).toBe(''))
})

describe('a harvest that was missed', () => {
  it('tells how long its window has been over, and nothing while it is not', () => {
    const { forecast } = vessel()
    const over = (minutes: number) => {
      const until = new Date(NOW_MS - minutes * 60_000).toISOString()
      const missed = vessel({ forecast: { ...forecast!, harvest: { ...forecast!.harvest, until } } })
      return alarmNow(alarm({ rule: 'harvest-missed' }), missed, settings(), NOW_MS, true, null).told
    }
    expect(over(50)).toBe('window over for 50 min')
    expect(over(-1)).toBe('')
  })
})

describe('the words around an alarm’s action', () => {
  it('tell how it began from what follows, so that nothing is read twice', () => {
    expect(aroundAction({ action: 'Do this.', text: 'It is so. Do this. Mind that.' })).toEqual({
      began: 'It is so.',
      then: 'Mind that.',
    })
  })
  it('are all its words when it has no action, or the words do not have it', () => {
    const whole = { began: 'It is so. Mind that.', then: '' }
    expect(aroundAction({ action: '', text: 'It is so. Mind that.' })).toEqual(whole)
    expect(aroundAction({ action: 'Run.', text: 'It is so. Mind that.' })).toEqual(whole)
  })
})
