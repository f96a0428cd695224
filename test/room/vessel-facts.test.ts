import { describe, expect, it } from 'vitest'
import { beginTrace } from '../../broker/hatch/development/development.ts'
import { forecast } from '../../broker/hatch/forecast.ts'
import { unseenLot } from '../../broker/hatch/lot/lot.ts'
import { oxygenLeft } from '../../broker/hatch/oxygen/minutes-left.ts'
import { expectWater } from '../../broker/hatch/thermal/expected-water.ts'
import { VesselLive } from '../../broker/room/vessel-live.ts'
import type { BatchRow, Sample } from '../../broker/store/contract.ts'

const T0 = 1_764_000_000_000
const HOUR = 3_600_000
const batch: BatchRow = {
  id: 'b1',
  vesselId: 'v1',
  startedAtMs: T0,
  endedAtMs: null,
  litres: 2,
  cystsG: 4,
  salinityGpl: 25,
  lot: null,
  goal: 'balanced',
  note: null,
}
const water = (value: number | null, quality: Sample['quality'] = 'good'): Sample => ({
  atMs: T0,
  value,
  quality,
})
const forecastAt = (hours: number) => ({
  ...forecast({
    startedAtMs: T0,
    nowMs: T0 + hours * HOUR,
    trace: beginTrace(T0),
    expected: expectWater([], T0 + hours * HOUR, 27),
    lot: unseenLot,
    goal: 'balanced',
  }),
  nauplii: { p10: 0, p50: 0, p90: 0 },
  why: [],
  heading: null,
  lot: { name: null, batches: 0, observations: 0 },
})

function vessel(latest: Sample | null, open: BatchRow | null = batch): VesselLive {
  const live = new VesselLive({ id: 'v1', name: 'Cone 1', litres: 3, createdAtMs: T0, retiredAtMs: null })
  live.batch = open
  live.latest = { ...live.latest, water: latest }
  return live
}
const minutes = (live: VesselLive) => live.facts().batch?.oxygen?.minutesTo2

describe('the oxygen among a vessel’s facts', () => {
  it('is that of its batch, in the water as measured', () => {
    const unhatched = { p10: 0, p50: 0, p90: 0 }
    const expected = oxygenLeft({ cystsGpl: 2, hatched: unhatched, waterC: 25.5, salinityGpl: 25 })
    expect(vessel(water(25.5)).facts().batch!.oxygen).toEqual(expected)
  })

  it('is less where the air is thinner, as soon as the room is said to be high', () => {
    const live = vessel(water(25.5))
    const bySea = live.facts(0).batch!.oxygen!.minutesTo2.p50
    // Standard air at 1,600 m has 83.5 kPa (ISO 2533, table from memory), so saturation falls to about 0.82.
    const high = live.facts(1600).batch!.oxygen!.minutesTo2.p50
    expect(high / bySea).toBeGreaterThan(0.68)
    expect(high / bySea).toBeLessThan(0.8)
    expect(live.facts(0).batch!.oxygen!.minutesTo2.p50).toBe(bySea)
  })

  it('shrinks as the batch hatches', () => {
    const live = vessel(water(27))
    const lasts = [2, 20, 40].map(hours => {
      live.forecast = forecastAt(hours)
      return minutes(live)!.p50
    })
    expect(lasts[1]).toBeLessThan(lasts[0]!)
    expect(lasts[2]).toBeLessThan(lasts[1]!)
    expect(lasts[2]).toBeLessThan(30)
  })

  it('goes by the water that is expected when the probe is not to be believed', () => {
    const broken = vessel(water(85, 'power-on'))
    expect(minutes(broken)).toBeUndefined()
    broken.forecast = forecastAt(2)
    const measured = vessel(water(broken.forecast.expectedWater.p50))
    measured.forecast = broken.forecast
    expect(minutes(broken)).toEqual(minutes(measured))
  })

  it('is not there without a batch, or while nothing is known of the water', () => {
    expect(vessel(water(27), null).facts().batch).toBeNull()
    for (const latest of [null, water(null, 'reported-fault')]) {
      const { batch: facts } = vessel(latest).facts()
      expect(facts).toEqual({ startedAtMs: T0, stage: 'soaking' })
    }
  })
})
