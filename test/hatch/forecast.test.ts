import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Band, Forecast, ForecastInput, LotBelief } from '../../broker/hatch/contract.ts'
import { HarvestGoal, Stage } from '../../broker/hatch/contract.ts'
import { advance, beginTrace, degHoursAt } from '../../broker/hatch/development/development.ts'
import { expectWater } from '../../broker/hatch/thermal/expected-water.ts'
import { forecast, HORIZON_MS } from '../../broker/hatch/forecast.ts'
import { lotBelief } from '../../broker/hatch/lot/belief.ts'
import type { LotObservation } from '../../broker/hatch/lot/evidence.ts'
import { unseenLot } from '../../broker/hatch/lot/lot.ts'
import { embryosOf, requirementOf } from '../../broker/hatch/population/population.ts'
import { stageShares } from '../../broker/hatch/population/stages.ts'

const START = 1_764_000_000_000
const HOUR = 3_600_000

/** A lot and water of which everything is known: every band has to close. */
const knownLot: LotBelief = { ...unseenLot, lnLow: -1e-9, lnHigh: 1e-9 }
const exactly = (levelC: number) => ({ basis: 'planned' as const, at: () => ({ levelC, spreadC: 0 }) })

const traceOf = (hours: number, water: (hour: number) => number, everyMs = 60_000) => {
  let trace = beginTrace(START)
  for (let atMs = START; atMs <= START + hours * HOUR; atMs += everyMs) {
    trace = advance(trace, { atMs, waterC: water((atMs - START) / HOUR) })
  }
  return trace
}
const ask = (input: Partial<ForecastInput>) =>
  forecast({
    startedAtMs: START,
    nowMs: START,
    trace: beginTrace(START),
    expected: exactly(27),
    lot: knownLot,
    goal: HarvestGoal.balanced,
    ...input,
  })
const hoursIn = (atMs: number) => (atMs - START) / HOUR
const inOrder = ({ p10, p50, p90 }: Band) => {
  expect(p10).toBeLessThanOrEqual(p50)
  expect(p50).toBeLessThanOrEqual(p90)
}
const sound = (result: Forecast) => {
  for (const band of [result.t10, result.t90, result.harvest.best, result.hatchedNow, result.expectedWater])
    inOrder(band)
  for (const p of ['p10', 'p50', 'p90'] as const) {
    expect(result.t10[p]).toBeLessThanOrEqual(result.t90[p])
    expect(result.hatchedNow[p]).toBeGreaterThanOrEqual(0)
    expect(result.hatchedNow[p]).toBeLessThanOrEqual(1)
  }
  expect(result.harvest.fromMs).toBeLessThanOrEqual(result.harvest.bestMs)
  expect(result.harvest.bestMs).toBeLessThanOrEqual(result.harvest.untilMs)
  expect(result.progress).toBeGreaterThanOrEqual(0)
}

describe('a forecast with nothing in doubt', () => {
  it('is the thermal constant by hand', () => {
    const result = ask({})
    // 27 °C is 16 °C above the threshold.
    expect(hoursIn(result.t10.p50)).toBeCloseTo(requirementOf(knownLot, 0.1) / 16, 4)
    expect(hoursIn(result.t90.p50)).toBeCloseTo(requirementOf(knownLot, 0.9) / 16, 4)
    expect(result.t10.p90 - result.t10.p10).toBeLessThan(10)
    expect(result.reachesHatch).toBe(true)
    expect(result.stage).toBe(Stage.soaking)
  })

  it('takes the measured past and the expected rest together', () => {
    const trace = traceOf(10, () => 21)
    const result = ask({ trace, nowMs: START + 10 * HOUR, expected: exactly(27) })
    // Ten hours at 10 above the threshold, the rest at 16.
    expect(hoursIn(result.t90.p50)).toBeCloseTo(10 + (requirementOf(knownLot, 0.9) - 100) / 16, 3)
    expect(result.progress).toBeCloseTo(100 / knownLot.medianDegH, 6)
    expect(result.stage).toBe(Stage.incubating)
  })

  it('reads what is past off the trace', () => {
    const trace = traceOf(30, hour => 26 + Math.sin(hour))
    const result = ask({ trace, nowMs: START + 30 * HOUR, expected: exactly(5) })
    expect(degHoursAt(trace, result.t10.p50)).toBeCloseTo(requirementOf(knownLot, 0.1), 2)
    expect(degHoursAt(trace, result.t90.p50)).toBeCloseTo(requirementOf(knownLot, 0.9), 2)
    expect(result.t90.p50).toBeLessThan(START + 30 * HOUR)
  })

  it('knows no more than was measured by the moment that it is asked for', () => {
    const whole = traceOf(40, () => 27)
    const half = traceOf(12, () => 27)
    const asked = { nowMs: START + 12 * HOUR, expected: exactly(22) }
    expect(ask({ trace: whole, ...asked })).toEqual(ask({ trace: half, ...asked }))
  })

  it('goes through the stages in order', () => {
    const order = [Stage.soaking, Stage.incubating, Stage.hatching, Stage.harvest, Stage.overdue]
    const trace = traceOf(60, () => 27)
    const stages = Array.from({ length: 61 }, (_, hour) =>
      order.indexOf(ask({ trace, nowMs: START + hour * HOUR }).stage),
    )
    expect(stages).toEqual([...stages].sort((a, b) => a - b))
    expect(new Set(stages).size).toBe(order.length)
  })

  it('reckons a start that lies ahead from that start', () => {
    const result = ask({ nowMs: START - 5 * HOUR })
    expect(hoursIn(result.t10.p50)).toBeCloseTo(requirementOf(knownLot, 0.1) / 16, 4)
    expect(result.hatchedNow.p90).toBe(0)
    expect(result.progress).toBe(0)
  })
})

describe('a forecast with the usual doubts', () => {
  const water = fc.double({ min: 5, max: 38, noNaN: true })
  const input = fc.record({
    hours: fc.integer({ min: 0, max: 72 }),
    later: fc.integer({ min: -20, max: 30 }),
    from: water,
    to: water,
    planned: water,
    goal: fc.constantFrom(...Object.values(HarvestGoal)),
    medianDegH: fc.double({ min: 150, max: 600, noNaN: true }),
    lnLow: fc.double({ min: -0.5, max: 0, noNaN: true }),
    lnHigh: fc.double({ min: 0, max: 0.6, noNaN: true }),
    spread: fc.double({ min: 0.02, max: 0.35, noNaN: true }),
  })

  it('is in order in every band, within its horizon, for any batch', () => {
    fc.assert(
      fc.property(input, ({ hours, later, from, to, planned, goal, ...belief }) => {
        const nowMs = START + Math.max(0, hours + later) * HOUR
        const trace = traceOf(hours, hour => from + ((to - from) * hour) / 72, 10 * 60_000)
        const recent = [{ atMs: trace.lastAtMs, waterC: trace.lastC ?? planned }]
        const result = ask({
          trace,
          nowMs,
          goal,
          lot: { ...belief, hatchShare: 0.7 },
          expected: expectWater(recent, nowMs, planned),
        })
        sound(result)
        expect(result.t90.p90).toBeLessThanOrEqual(Math.max(nowMs, trace.lastAtMs) + HORIZON_MS)
        expect(result.reachesHatch).toBe(result.t90.p50 < Math.max(nowMs, START) + HORIZON_MS)
        expect(result.atMs).toBe(nowMs)
      }),
      { numRuns: 150 },
    )
  })

  it('comes sooner in warmer water, from 17 up to 30 °C, where even slow lots hatch before the horizon', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 17, max: 29, noNaN: true }),
        fc.double({ min: 0.05, max: 1, noNaN: true }),
        (waterC, warmer) => {
          const cool = ask({ expected: exactly(waterC), lot: unseenLot })
          const warm = ask({ expected: exactly(waterC + warmer), lot: unseenLot })
          for (const p of ['p10', 'p50', 'p90'] as const) {
            expect(warm.t10[p]).toBeLessThan(cool.t10[p])
            expect(warm.t90[p]).toBeLessThan(cool.t90[p])
          }
          expect(warm.harvest.bestMs).toBeLessThan(cool.harvest.bestMs)
        },
      ),
      { numRuns: 40 },
    )
  })

  it('holds the band of a lot never seen: -25 % and +60 % of the middle', () => {
    const result = ask({ lot: unseenLot })
    const middle = requirementOf(unseenLot, 0.9) / 16
    expect(hoursIn(result.t90.p10) / middle).toBeCloseTo(0.75, 1)
    expect(hoursIn(result.t90.p50) / middle).toBeCloseTo(1, 2)
    expect(hoursIn(result.t90.p90) / middle).toBeCloseTo(1.6, 1)
  })

  it('closes its band as the water is measured', () => {
    const width = (hour: number) => {
      const trace = traceOf(hour, () => 27)
      const expected = { basis: 'measured' as const, at: () => ({ levelC: 27, spreadC: 1 }) }
      const { p10, p90 } = ask({ trace, nowMs: START + hour * HOUR, expected }).t90
      return p90 - p10
    }
    expect(width(8)).toBeLessThan(width(0))
    expect(width(16)).toBeLessThan(width(8))
    expect(width(30)).toBeLessThan(1000)
  })

  it.each([5, 11.9, 34])('says that water at %d °C does not reach the hatch', waterC => {
    const result = ask({ expected: exactly(waterC), lot: unseenLot })
    expect(result.reachesHatch).toBe(false)
    expect(result.t90).toEqual({ p10: START + HORIZON_MS, p50: START + HORIZON_MS, p90: START + HORIZON_MS })
    expect(result.harvest.bestMs).toBe(START + HORIZON_MS)
    sound(result)
  })

  it('follows an expectation that changes with time', () => {
    // Ten hours at 17 °C, then 27 °C: 60 °C·h by then, 16 an hour after it.
    const warming = {
      basis: 'measured' as const,
      at: (ms: number) => ({ levelC: ms < START + 10 * HOUR ? 17 : 27, spreadC: 0 }),
    }
    const result = ask({ expected: warming })
    // The step between the two temperatures lies within one look ahead of ten minutes.
    expect(Math.abs(hoursIn(result.t90.p50) - (10 + (requirementOf(knownLot, 0.9) - 60) / 16))).toBeLessThan(
      1 / 6,
    )
    expect(result.expectedWater.p50).toBeGreaterThan(17)
    expect(result.expectedWater.p50).toBeLessThan(27)
  })
})

describe('what a forecast says beside the times', () => {
  const hatching = traceOf(22, () => 27)
  const now = START + 22 * HOUR

  it('names the goal, and tells stages and energy by the same doubts', () => {
    const result = ask({ trace: hatching, nowMs: now, lot: unseenLot, goal: HarvestGoal.smallest })
    expect(result.goal).toBe(HarvestGoal.smallest)
    const { umbrella, instarI, instarII } = result.stages
    for (const band of [umbrella, instarI, instarII, result.energyLeft, result.hatchPercentage]) {
      inOrder(band)
      expect(band.p10).toBeGreaterThanOrEqual(0)
      expect(band.p90).toBeLessThanOrEqual(1)
    }
    inOrder(result.naupliiPerG)
  })

  it('is by hand where nothing is in doubt', () => {
    const result = ask({ trace: hatching, nowMs: now })
    // 22 h at 16 °C above the threshold.
    const shares = stageShares(embryosOf(knownLot), 22 * 16)
    expect(result.stages.umbrella.p50).toBeCloseTo(shares.umbrella, 6)
    expect(result.stages.instarI.p50).toBeCloseTo(shares.instarI, 6)
    expect(result.stages.instarII.p50).toBeCloseTo(shares.instarII, 6)
    expect(result.energyLeft.p50).toBeCloseTo(shares.energyLeft, 6)
  })

  it('counts a share and a yield for a lot never seen, and those of one that is known', () => {
    // Treece 2000, SRAC Publication 702: 200,000-300,000 nauplii/g for a good product; the band must reach into it.
    const unseen = ask({ lot: unseenLot })
    expect(unseen.naupliiPerG.p90).toBeGreaterThan(200_000)
    expect(unseen.naupliiPerG.p90).toBeLessThan(300_000)
    expect(unseen.hatchPercentage.p50).toBeCloseTo(unseenLot.hatchShare, 9)
    const hatch = { p10: 0.78, p50: 0.8, p90: 0.82 }
    const cystsPerG = { p10: 240_000, p50: 250_000, p90: 260_000 }
    const known = ask({ lot: { ...unseenLot, hatch, cystsPerG } })
    expect(known.hatchPercentage).toEqual(hatch)
    expect(known.naupliiPerG.p50).toBeCloseTo(200_000, 6)
    // ln distances 0.0253 and 0.0408 add up in squares to 0.0480.
    expect(Math.log(known.naupliiPerG.p50 / known.naupliiPerG.p10)).toBeCloseTo(0.048, 3)
  })

  it('widens with what gaps may have held, but not with what was seen after them', () => {
    const doubtful = { ...hatching, degHoursSd: 20 }
    const asked = { nowMs: START + 18 * HOUR, trace: { ...traceOf(18, () => 27), degHoursSd: 20 } }
    const width = ({ t90 }: Forecast) => (t90.p90 - t90.p10) / HOUR
    // 20 °C·h either way at 16 an hour. Nine equally likely ways put the tenth between 1.28 and 1.60 deviations out.
    expect(width(ask(asked))).toBeGreaterThan(2 * 1.28 * (20 / 16))
    expect(width(ask(asked))).toBeLessThan(2 * 1.6 * (20 / 16))
    expect(width(ask({ ...asked, lot: { ...knownLot, heldDegHSd: 20 } }))).toBeLessThan(0.001)
    expect(width(ask({ ...asked, lot: { ...knownLot, heldDegHSd: 12 } }))).toBeCloseTo(
      0.8 * width(ask(asked)),
      1,
    )
    sound(ask({ trace: doubtful, nowMs: now }))
  })

  it('takes the probe’s own error out of measured water: it is what batches differ by', () => {
    const width = (basis: 'measured' | 'planned', spreadC: number) => {
      const { t90 } = ask({ expected: { basis, at: () => ({ levelC: 27, spreadC }) } })
      return t90.p90 - t90.p10
    }
    expect(width('measured', 0.25)).toBeLessThan(10)
    expect(width('measured', Math.hypot(0.25, 0.5)) / width('planned', 0.5)).toBeCloseTo(1, 6)
  })

  it('follows first swimmers that it did not expect yet', () => {
    const start = START
    const trace = traceOf(13, () => 27)
    const nowMs = START + 13 * HOUR
    const seen: LotObservation = { kind: 'first-swimmers', atMs: nowMs, degH: trace.degHours, degHSd: 0 }
    const batch = (items: readonly LotObservation[]) => ({ startedAtMs: start, litres: 1, cystsG: 2, items })
    const [before, after] = [[], [seen]].map(items =>
      ask({ trace, nowMs, lot: lotBelief([], batch(items), nowMs) }),
    )
    expect(before!.hatchedNow.p50).toBeLessThan(0.01)
    expect(after!.hatchedNow.p50).toBeGreaterThan(before!.hatchedNow.p50 * 3)
    expect(after!.t90.p50).toBeLessThan(before!.t90.p50 - HOUR)
    expect(after!.t90.p90).toBeLessThan(before!.t90.p90 - 6 * HOUR)
    expect(after!.harvest.untilMs - after!.harvest.fromMs).toBeLessThan(
      before!.harvest.untilMs - before!.harvest.fromMs,
    )
  })
})
