import { describe, expect, it } from 'vitest'
import { BatchForecast } from '../../broker/room/batch-forecast.ts'
import type { BatchRow } from '../../broker/store/contract.ts'
import { seededRandom } from '../../sim/random.ts'

const T0 = Date.UTC(2026, 0, 10, 12)
const MINUTE = 60_000
const HOUR = 60 * MINUTE
/** 12 bits of a DS18B20 (datasheet), and the scatter of single readings, °C. */
const STEP_C = 0.0625
const NOISE_C = 0.03

type Course = (minute: number) => number

/** What is forecast at these minutes of a batch that began with water of this course, a reading every ten seconds. */
function forecasts(waterC: Course, minutes: readonly number[], fromMin = 0) {
  const batch = {
    id: 'b',
    vesselId: 'v',
    startedAtMs: T0,
    endedAtMs: null,
    litres: 1,
    cystsG: 2,
    salinityGpl: 25,
    lot: null,
    goal: 'balanced',
    note: null,
  } as unknown as BatchRow
  const forecast = new BatchForecast(batch)
  const random = seededRandom(7)
  const left = [...minutes]
  const told: { t90H: number; said: { kind: string; waterC: number | null; laterMs: number }[] }[] = []
  for (let s = fromMin * 60; left.length > 0; s += 10) {
    const value = Math.round((waterC(s / 60) + NOISE_C * random.normal()) / STEP_C) * STEP_C
    forecast.take({ atMs: T0 + s * 1000, value, quality: 'good' })
    if (s / 60 < left[0]!) continue
    left.shift()
    const { t90, why } = forecast.at(T0 + s * 1000, 29.4)
    told.push({ t90H: (t90.p50 - T0) / HOUR, said: why.filter(({ sure }) => sure) })
  }
  return told
}

/** Half a degree short of its goal at the start, and warming: as the set-up leaves it. */
const warming: Course = minute => 27.2 - 0.5 * Math.exp(-Math.max(minute, 0) / 90)
/** A draught: within five minutes so much cooler, and gone again half an hour later. */
const draught =
  (course: Course, fromMin: number, deepC: number): Course =>
  minute =>
    course(minute) -
    (minute > fromMin
      ? deepC * Math.min(1, (minute - fromMin) / 5) * Math.exp(-Math.max(0, minute - fromMin - 8) / 30)
      : 0)
const FROM_DIP = [-1, 2, 4, 6, 8, 10, 15, 20, 30, 40, 60]

describe('a forecast', () => {
  it('calls nothing late in the first minutes, nor what the set-up itself calls right', () => {
    for (const { said } of forecasts(warming, [0.1, 1, 2, 5, 10, 20, 40, 60, 240])) expect(said).toEqual([])
    // 80 °F, the cool end of the trade's working range (common practice, no source), all day.
    for (const { said } of forecasts(() => 26.7, [0.1, 5, 20, 60, 240, 600])) expect(said).toEqual([])
  })

  it.each([
    ['at the start', 10],
    ['two hours on', 120],
    ['at ten hours', 600],
  ])('stays within its own doubt under a dip of 0.2 °C %s, and says nothing of it', (_, atMin) => {
    const told = forecasts(
      draught(warming, atMin, 0.2),
      FROM_DIP.map(minute => atMin + minute),
      -100,
    )
    const [before] = told
    for (const { t90H, said } of told) {
      expect(said).toEqual([])
      // By the fit alone, four minutes into it, the hatch came 2 to 7 h later.
      expect(Math.abs(t90H - before!.t90H)).toBeLessThan(2)
    }
    // An hour on it is as if there had been no dip.
    const [calm] = forecasts(warming, [atMin + 60], -100)
    expect(Math.abs(told.at(-1)!.t90H - calm!.t90H)).toBeLessThan(0.6)
  })

  it('believes what lasts within half an hour or so, and tells what is expected from what was measured', () => {
    const cooling: Course = minute => (minute < 300 ? 27.2 : 25 + 2.2 * Math.exp(-(minute - 300) / 90))
    const [at, soon, later] = forecasts(cooling, [299, 345, 600])
    expect(at!.said).toEqual([])
    // 2.2 °C of the 16.2 above the threshold for the rest of the way: nearly two hours.
    expect(soon!.said).toMatchObject([{ kind: 'cooler', expected: true }])
    expect(later!.said).toMatchObject([{ kind: 'cooler', expected: false }])
    expect(later!.said[0]!.laterMs / HOUR).toBeGreaterThan(1.3)
    expect(later!.said[0]!.waterC).toBeGreaterThan(24.9)
  })
})
