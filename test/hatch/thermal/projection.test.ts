import { describe, expect, it } from 'vitest'
import { HeldAt, projectedBand, projectWater } from '../../../broker/hatch/thermal/projection.ts'
import { fitThermalResponse, type ThermalResponse } from '../../../broker/hatch/thermal/response.ts'
import { seededRandom } from '../../../sim/random.ts'
import { drawn, HOUR, START, watched } from './simulated-vessel.ts'
import { ThermalMemory } from '../../../broker/hatch/thermal/memory.ts'

const warming = (hours: number, tauH = 1.5) => {
  const random = seededRandom(2)
  return Array.from({ length: hours * 360 }, (_, at) => ({
    atMs: START + at * 10_000,
    waterC: Math.round((28 - 7 * Math.exp(-at / 360 / tauH) + 0.03 * random.normal()) * 16) / 16,
  }))
}

describe('a projection', () => {
  const response = fitThermalResponse(warming(2), Infinity, { litres: 1 })!
  const projection = projectWater(response, response.asOfMs)

  it('begins at the level and ends at the equilibrium, on Newton’s way', () => {
    expect(projection.at(response.asOfMs).levelC).toBeCloseTo(response.levelC.p50, 2)
    expect(
      Math.abs(projection.at(response.asOfMs + 40 * HOUR).levelC - response.equilibriumC.p50),
    ).toBeLessThan(0.1)
    const half = 28 - 7 * Math.exp(-3 / 1.5)
    expect(Math.abs(projection.at(START + 3 * HOUR).levelC - half)).toBeLessThan(0.12)
  })

  it('is never certain of a far day', () => {
    for (const hours of [12, 24, 40, 200]) {
      expect(projection.at(response.asOfMs + hours * HOUR).spreadC).toBeGreaterThan(0.8)
      expect(projection.at(response.asOfMs + hours * HOUR).spreadC).toBeLessThan(6.1)
    }
  })

  it('gives columns of a band in order, that widens with silence', () => {
    const moments = [0, 1, 4, 12].map(hours => response.asOfMs + hours * HOUR)
    const fresh = projectedBand(projection, moments)
    const silent = projectedBand(projectWater(response, response.asOfMs + 4 * HOUR), moments)
    moments.forEach((_, at) => {
      expect(fresh.p10C[at]).toBeLessThan(fresh.p50C[at]!)
      expect(fresh.p50C[at]).toBeLessThan(fresh.p90C[at]!)
      expect(silent.p90C[at]! - silent.p10C[at]!).toBeGreaterThan(fresh.p90C[at]! - fresh.p10C[at]!)
    })
    expect(fresh.p90C[0]! - fresh.p10C[0]!).toBeLessThan(0.3)
  })

  it('stops at what is believable, and says so', () => {
    const heading = (toC: number): ThermalResponse => ({
      ...response,
      equilibriumC: { p10: toC - 1, p50: toC, p90: toC + 1 },
      cases: response.cases.map(one => ({ ...one, equilibriumC: toC, equilibriumVar: 1, covariance: 0 })),
    })
    const hot = projectWater(heading(90), response.asOfMs)
    expect(hot.heldAt).toBe(HeldAt.hottest)
    expect(hot.at(response.asOfMs + 40 * HOUR).levelC).toBeCloseTo(45, 1)
    const cold = projectWater(heading(-20), response.asOfMs)
    expect(cold.heldAt).toBe(HeldAt.coldest)
    expect(cold.at(response.asOfMs + 40 * HOUR).levelC).toBeCloseTo(5, 1)
    expect(projection.heldAt).toBeNull()
  })

  it(
    'holds what simulated vessels then read in its 80 % band, at least so often',
    { timeout: 60_000 },
    () => {
      const held = new Map<number, number[]>()
      for (let seed = 1; seed <= 10; seed++) {
        const { scenario, offsetC } = drawn(seed)
        const memory = new ThermalMemory({ litres: scenario.litres, plannedC: 27.2 })
        const readings: { atMs: number; waterC: number }[] = []
        const told: { atMs: number; band: ReturnType<typeof projectedBand> }[] = []
        const aheadH = [0.25, 1, 4, 8]
        for (const sample of watched(scenario, { seed, hours: 30, offsetC })) {
          memory.take(sample)
          readings.push(sample)
          if (sample.atMs % HOUR !== 0 || sample.hour > 22) continue
          const moments = aheadH.map(hours => sample.atMs + hours * HOUR)
          told.push({
            atMs: sample.atMs,
            band: projectedBand(projectWater(memory.fit()!, sample.atMs), moments),
          })
        }
        for (const { atMs, band } of told) {
          aheadH.forEach((hours, at) => {
            const { waterC } = readings[(atMs - START + hours * HOUR) / 10_000 - 1]!
            const list = held.get(hours) ?? []
            held.set(hours, list)
            list.push(band.p10C[at]! <= waterC && waterC <= band.p90C[at]! ? 1 : 0)
          })
        }
      }
      for (const [hours, list] of held) {
        const share = list.reduce((sum, one) => sum + one, 0) / list.length
        expect(share, `${hours} h ahead`).toBeGreaterThan(0.75)
      }
    },
  )
})
