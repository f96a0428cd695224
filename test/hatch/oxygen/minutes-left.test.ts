import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { minutesUntil, oxygenLeft } from '../../../broker/hatch/oxygen/minutes-left.ts'
import { naupliusDemandMgph } from '../../../sim/biology/respiration.ts'
import { oxygenAfter, oxygenSaturationMgpl } from '../../../sim/physics/oxygen.ts'

const exactly = (value: number) => ({ p10: value, p50: value, p90: value })
const level = fc.double({ min: 0, max: 15, noNaN: true })
const demand = fc.double({ min: 0.01, max: 100, noNaN: true })

describe('minutes until a level', () => {
  it('are what the demand takes to use up what lies above it', () => {
    fc.assert(
      fc.property(level, level, demand, (to, from, perHour) => {
        const { p50 } = minutesUntil(to, from, exactly(perHour))
        expect(Math.max(from, to) - (p50 / 60) * perHour).toBeCloseTo(to, 9)
      }),
    )
  })

  it('take the soonest from the greatest demand', () => {
    expect(minutesUntil(2, 7, { p10: 5, p50: 10, p90: 20 })).toEqual({ p10: 15, p50: 30, p90: 60 })
  })

  it('are none when it is there, and without end when nothing takes any', () => {
    expect(minutesUntil(4, 4, exactly(0))).toEqual(exactly(0))
    expect(minutesUntil(4, 3, exactly(10))).toEqual(exactly(0))
    expect(minutesUntil(4, 7, exactly(0))).toEqual(exactly(Infinity))
  })

  it.each([NaN, Infinity, -1])('refuse %f', bad => {
    for (const ask of [
      () => minutesUntil(bad, 7, exactly(1)),
      () => minutesUntil(4, bad, exactly(1)),
      () => minutesUntil(4, 7, { ...exactly(1), p90: bad }),
    ]) {
      expect(ask).toThrow(`Cannot reckon minutes of oxygen: levels and demand must be 0 or more, got ${bad}`)
    }
  })
})

describe('oxygen left', () => {
  const vessel = { cystsGpl: 2, hatched: exactly(1), waterC: 27, salinityGpl: 25 }

  it('is less in a fuller vessel, in warmer or saltier water, and higher up', () => {
    const usual = oxygenLeft(vessel).minutesTo2.p50
    for (const change of [{ cystsGpl: 4 }, { waterC: 34 }, { salinityGpl: 60 }, { pressureKpa: 80 }]) {
      expect(oxygenLeft({ ...vessel, ...change }).minutesTo2.p50).toBeLessThan(usual)
    }
    expect(oxygenLeft({ ...vessel, hatched: exactly(0) }).minutesTo2.p50).toBeGreaterThan(usual)
  })

  it('comes to 4 mg/l before 2', () => {
    const { minutesTo4, minutesTo2 } = oxygenLeft(vessel)
    for (const end of ['p10', 'p50', 'p90'] as const) expect(minutesTo4[end]).toBeLessThan(minutesTo2[end])
  })

  it('answers for any water that a batch can be in', () => {
    fc.assert(
      fc.property(
        fc.record({
          cystsGpl: fc.double({ min: 1e-6, max: 5000, noNaN: true }),
          waterC: fc.double({ min: -55, max: 125, noNaN: true }),
          salinityGpl: fc.double({ min: 0, max: 300, noNaN: true }),
          hatched: fc.double({ min: 0, max: 1, noNaN: true }).map(exactly),
        }),
        water => {
          const { p10, p90 } = oxygenLeft(water).minutesTo2
          expect(p10).toBeGreaterThanOrEqual(0)
          expect(p90).toBeGreaterThanOrEqual(p10)
        },
      ),
    )
  })
})

describe('against the simulated vessel, which has its own physics and whose animals slow down when oxygen is low', () => {
  it.each([1, 2, 5])('brackets its time to 2 mg/l at %i g/l, hatched', gpl => {
    const waterC = 27.5
    const nauplii = gpl * 200_000
    const full = oxygenSaturationMgpl(waterC, 25)
    const stepH = 1 / 3600
    let oxygen = full
    let hours = 0
    while (oxygen > 2 && hours < 10) {
      oxygen = oxygenAfter(oxygen, full, 0, naupliusDemandMgph(nauplii, waterC), stepH)
      hours += stepH
    }
    const { minutesTo2 } = oxygenLeft({
      cystsGpl: gpl,
      hatched: exactly(1),
      naupliiPerG: exactly(200_000),
      waterC,
      salinityGpl: 25,
    })
    expect(minutesTo2.p10).toBeLessThan(60 * hours)
    expect(minutesTo2.p90).toBeGreaterThan(60 * hours)
  })
})
