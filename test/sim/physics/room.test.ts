import { describe, expect, it } from 'vitest'
import { RoomAir, type RoomSetting } from '../../../sim/physics/room.ts'
import { seededRandom } from '../../../sim/random.ts'

const setting: RoomSetting = { meanC: 22, swingC: 1, draughtsPerDay: 0, startHour: 0, humidity: 0.5 }
const byHour = (room: RoomSetting, days: number) => {
  const air = new RoomAir(room, seededRandom(3))
  const sums = new Float64Array(24)
  let least = Infinity
  for (let minute = 0; minute < days * 1440; minute++) {
    air.step(60, room.meanC)
    sums[Math.floor(minute / 60) % 24]! += air.airC / (60 * days)
    least = Math.min(least, air.airC)
  }
  return { hours: [...sums], least }
}

describe('the room', () => {
  it('is warmest in the afternoon and coldest before dawn, around its mean', () => {
    const { hours } = byHour(setting, 60)
    expect(hours.indexOf(Math.max(...hours))).toBeGreaterThanOrEqual(14)
    expect(hours.indexOf(Math.max(...hours))).toBeLessThanOrEqual(17)
    expect(hours.indexOf(Math.min(...hours))).toBeGreaterThanOrEqual(2)
    expect(hours.indexOf(Math.min(...hours))).toBeLessThanOrEqual(5)
    expect(hours.reduce((a, b) => a + b) / 24).toBeCloseTo(22, 1)
    expect(Math.max(...hours) - Math.min(...hours)).toBeCloseTo(2, 0)
  })

  it('cools when a door is opened, and only then by a degree or more', () => {
    const shut = byHour(setting, 10).least
    const opened = byHour({ ...setting, draughtsPerDay: 6 }, 10).least
    expect(opened).toBeLessThan(shut - 0.7)
  })

  it('has daylight by day and none by night', () => {
    const air = new RoomAir({ ...setting, startHour: 12 }, seededRandom(1))
    expect(air.daylightLx).toBeGreaterThan(100)
    for (let i = 0; i < 12; i++) air.step(3600, 22)
    expect(air.daylightLx).toBe(0)
  })
})
