import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { WaterSample } from '../../broker/hatch/contract.ts'
import { advance, beginTrace } from '../../broker/hatch/development/development.ts'
import { developmentBetween, developmentRate } from '../../broker/hatch/development/thermal-clock.ts'
import { HORIZON_MS } from '../../broker/hatch/forecast.ts'
import type { DelayInput } from '../../broker/hatch/why.ts'
import { delayParts, delayReasons, WORTH_SAYING_MS } from '../../broker/hatch/why.ts'

const START = 1_764_000_000_000
const HOUR = 3_600_000
const MINUTE = 60_000
const PLANNED_C = 27.2

const level = (levelC: number) => ({ basis: 'measured' as const, at: () => ({ levelC, spreadC: 0.4 }) })
const traceOf = (samples: readonly WaterSample[]) => samples.reduce(advance, beginTrace(START))
/** One reading a minute. */
const minutes = (hours: number, water: (hour: number) => number) =>
  traceOf(
    Array.from({ length: Math.round(hours * 60) + 1 }, (_, i) => ({
      atMs: START + i * MINUTE,
      waterC: water(i / 60),
    })),
  )
const ask = (change: Partial<DelayInput>): DelayInput => ({
  startedAtMs: START,
  nowMs: START + 12 * HOUR,
  trace: minutes(12, () => PLANNED_C),
  expected: level(PLANNED_C),
  plannedC: PLANNED_C,
  plannedDegH: 296,
  nowDegH: 296,
  ...change,
})
const sum = (parts: readonly { laterMs: number }[]) => parts.reduce((total, part) => total + part.laterMs, 0)

/** When `need` is reached, in steps of a minute along the samples and then along a level: nothing of the code under test. */
function reckon(samples: readonly WaterSample[], untilMs: number, thenC: number, need: number): number {
  let atMs = START
  let waterC = samples[0]?.waterC ?? thenC
  let sum = 0
  const go = (toMs: number, toC: number): number | null => {
    const fromMs = atMs
    const fromC = waterC
    const steps = Math.max(1, Math.ceil((toMs - fromMs) / MINUTE))
    for (let step = 1; step <= steps; step++) {
      const at = (share: number) => fromC + (toC - fromC) * share
      const gain = developmentBetween(
        at((step - 1) / steps),
        at(step / steps),
        (toMs - fromMs) / steps / HOUR,
      )
      if (sum + gain >= need) return fromMs + ((toMs - fromMs) / steps) * (step - 1 + (need - sum) / gain)
      sum += gain
    }
    atMs = toMs
    waterC = toC
    return null
  }
  for (const sample of samples) {
    if (sample.atMs > untilMs) break
    const reached = go(sample.atMs, sample.waterC)
    if (reached !== null) return reached
  }
  const rate = developmentRate(thenC)
  const ends = atMs + ((need - sum) / rate) * HOUR
  return Math.min(rate > 0 ? ends : Infinity, untilMs + HORIZON_MS)
}

describe('the parts of a delay', () => {
  it('add up to the difference of two direct reckonings', () => {
    // Up to a day of water, in steps up to three hours (so with gaps), between too cold to count and too hot to.
    const water = fc
      .array(
        fc.tuple(fc.integer({ min: MINUTE, max: 3 * HOUR }), fc.double({ min: 10, max: 34, noNaN: true })),
        { maxLength: 60 },
      )
      .map(steps => {
        let atMs = START
        return steps.map(([step, waterC]) => ({ atMs: (atMs += step), waterC }))
      })
    const need = fc.double({ min: 120, max: 480, noNaN: true })
    fc.assert(
      fc.property(
        water,
        fc.integer({ min: 0, max: 2 * HOUR }),
        fc.double({ min: 10, max: 34, noNaN: true }),
        fc.double({ min: 18, max: 32, noNaN: true }),
        need,
        need,
        (samples, silentMs, thenC, plannedC, plannedDegH, nowDegH) => {
          const nowMs = (samples.at(-1)?.atMs ?? START) + silentMs
          const parts = delayParts({
            startedAtMs: START,
            nowMs,
            trace: traceOf(samples),
            expected: level(thenC),
            plannedC,
            plannedDegH,
            nowDegH,
          })
          const plan = START + (plannedDegH / developmentRate(plannedC)) * HOUR
          const now = reckon(samples, nowMs, thenC, nowDegH)
          if (now >= nowMs + HORIZON_MS) {
            expect(parts).toEqual([])
            return
          }
          // A minute's straight line within the trace's own knots is what the reckonings may differ by.
          expect(Math.abs(sum(parts) - (now - plan))).toBeLessThan(MINUTE)
          // What a part says of the water never speaks against its cost.
          for (const { kind, laterMs, waterC } of parts) {
            if (kind === 'cooler') expect(laterMs).toBeGreaterThanOrEqual(0)
            if (kind === 'cooler' && waterC !== null) expect(waterC).toBeLessThanOrEqual(plannedC)
            if (kind === 'warmer' && waterC !== null) expect(waterC).toBeGreaterThanOrEqual(plannedC)
          }
        },
      ),
      { numRuns: 300 },
    )
  })

  it('are none when all goes to plan', () => {
    expect(delayReasons(ask({}))).toEqual([])
    expect(Math.abs(sum(delayParts(ask({}))))).toBeLessThan(1)
  })

  it('say since when the water is cooler, and what it costs to the end', () => {
    // Nine hours on the plan, then 25.1 °C: 14.1 instead of 16.2 °C·h an hour for what is left of 296.
    const trace = minutes(14, hour => (hour < 9 ? PLANNED_C : 25.1))
    const [reason, ...others] = delayReasons(ask({ trace, nowMs: START + 14 * HOUR, expected: level(25.1) }))
    expect(others).toEqual([])
    expect(reason).toMatchObject({ kind: 'cooler', plannedC: PLANNED_C })
    expect(Math.abs(reason!.sinceMs! - (START + 9 * HOUR))).toBeLessThanOrEqual(6 * MINUTE)
    expect(reason!.waterC).toBeCloseTo(25.1, 1)
    const left = 296 - 9 * 16.2
    expect(Math.abs(reason!.laterMs - (left / 14.1 - left / 16.2) * HOUR)).toBeLessThan(2 * MINUTE)
  })

  it('keep the first warming up apart from what is wrong now', () => {
    const trace = minutes(16, hour => (hour < 3 ? 20 : hour < 9 ? PLANNED_C : 24.5))
    const reasons = delayReasons(ask({ trace, nowMs: START + 16 * HOUR, expected: level(24.5) }))
    expect(reasons.map(({ kind }) => kind)).toEqual(['cooler', 'cooler'])
    expect(Math.abs(reasons[0]!.sinceMs! - (START + 9 * HOUR))).toBeLessThanOrEqual(6 * MINUTE)
    expect(reasons[1]!.sinceMs, 'over by now').toBeNull()
    // Three hours at 9 instead of 16.2 °C·h an hour.
    expect(Math.abs(reasons[1]!.laterMs - 3 * (1 - 9 / 16.2) * HOUR)).toBeLessThan(3 * MINUTE)
    expect(reasons[1]!.waterC).toBeCloseTo(20, 0)
  })

  it('are not misled by a noisy probe or a lamp that cycles', () => {
    const wobble = (hour: number) =>
      0.4 * Math.sin(hour * 40) + 0.25 * Math.sin(hour * 331) + (hour < 8 ? PLANNED_C : 25)
    const trace = minutes(13, wobble)
    const [reason, ...others] = delayReasons(ask({ trace, nowMs: START + 13 * HOUR, expected: level(25) }))
    expect(others).toEqual([])
    expect(reason!.kind).toBe('cooler')
    expect(Math.abs(reason!.sinceMs! - (START + 8 * HOUR))).toBeLessThanOrEqual(15 * MINUTE)
  })

  it('take steps further down as one time of being too cool', () => {
    const trace = minutes(15, hour => (hour < 5 ? PLANNED_C : hour < 10 ? 25.5 : 23))
    const reasons = delayReasons(ask({ trace, nowMs: START + 15 * HOUR, expected: level(23) }))
    expect(reasons).toHaveLength(1)
    expect(Math.abs(reasons[0]!.sinceMs! - (START + 5 * HOUR))).toBeLessThanOrEqual(6 * MINUTE)
  })

  it('call a cool time that is over by its past, and warmer water sooner', () => {
    const trace = minutes(15, hour => (hour > 4 && hour < 9 ? 23 : 28.6))
    const reasons = delayReasons(ask({ trace, nowMs: START + 15 * HOUR, expected: level(28.6) }))
    const cool = reasons.find(({ kind }) => kind === 'cooler')!
    expect(cool.sinceMs).toBeNull()
    expect(cool.laterMs).toBeGreaterThan(0)
    const warm = reasons.find(({ kind, sinceMs }) => kind === 'warmer' && sinceMs !== null)!
    expect(warm.laterMs).toBeLessThan(0)
    expect(Math.abs(warm.sinceMs! - (START + 9 * HOUR))).toBeLessThanOrEqual(6 * MINUTE)
  })

  it('put what nobody measured by itself', () => {
    const samples = [
      ...Array.from({ length: 241 }, (_, i) => ({ atMs: START + i * MINUTE, waterC: PLANNED_C })),
      ...Array.from({ length: 241 }, (_, i) => ({ atMs: START + 9 * HOUR + i * MINUTE, waterC: 23 })),
    ]
    const reasons = delayReasons(
      ask({ trace: traceOf(samples), nowMs: START + 13 * HOUR, expected: level(23) }),
    )
    const silent = reasons.find(({ kind }) => kind === 'unmeasured')!
    expect(silent.sinceMs).toBe(START + 4 * HOUR)
    // Nothing is known of the vessel, so the gap is bridged in a straight line from 27.2 to 23 °C: 14.1 instead of 16.2.
    expect(Math.abs(silent.laterMs - 5 * (1 - 14.1 / 16.2) * HOUR)).toBeLessThan(MINUTE)
  })

  it('tell a slower lot from a faster one, whatever the water', () => {
    const slower = delayReasons(ask({ nowDegH: 340 }))
    expect(slower).toMatchObject([{ kind: 'slower-lot', sinceMs: null, waterC: null, plannedC: null }])
    expect(slower[0]!.laterMs / HOUR).toBeCloseTo(44 / 16.2, 6)
    const faster = delayReasons(ask({ nowDegH: 260 }))
    expect(faster[0]!.kind).toBe('faster-lot')
    expect(faster[0]!.laterMs / HOUR).toBeCloseTo(-36 / 16.2, 6)
  })

  it('name the water that the cost comes from, when it is what is expected', () => {
    // A little warmer so far, and far cooler from now on.
    const trace = minutes(3, () => 27.4)
    const reasons = delayReasons(ask({ trace, nowMs: START + 3 * HOUR, expected: level(26) }))
    expect(reasons).toHaveLength(1)
    expect(reasons[0]).toMatchObject({ kind: 'cooler' })
    expect(reasons[0]!.waterC).toBeLessThan(PLANNED_C)
  })

  it('say of water too hot to develop in that it is warmer, and later', () => {
    // Four hours at 35 °C count nothing: development pauses above 33 °C.
    const trace = minutes(12, hour => (hour > 4 && hour < 8 ? 35 : PLANNED_C))
    const reasons = delayReasons(ask({ trace }))
    expect(reasons).toMatchObject([{ kind: 'warmer', sinceMs: null }])
    expect(Math.abs(reasons[0]!.laterMs - 4 * HOUR)).toBeLessThan(5 * MINUTE)
    expect(reasons[0]!.waterC).toBeGreaterThan(34)
  })

  it('count only the water until the hatch', () => {
    const hatched = minutes(30, hour => (hour < 20 ? PLANNED_C : 15))
    expect(delayReasons(ask({ trace: hatched, nowMs: START + 30 * HOUR, expected: level(15) }))).toEqual([])
  })

  it('leave out what is not worth a sentence, and put the weightiest first', () => {
    const trace = minutes(12, hour => (hour < 1 ? 24 : PLANNED_C))
    const reasons = delayReasons(ask({ trace, nowDegH: 340 }))
    expect(reasons.map(({ kind }) => kind)).toEqual(['slower-lot'])
    for (const { laterMs } of reasons) expect(Math.abs(laterMs)).toBeGreaterThanOrEqual(WORTH_SAYING_MS)
  })

  it('have nothing to say of a plan that never hatches, or of what is no number', () => {
    for (const plannedC of [8, 40, NaN]) expect(delayParts(ask({ plannedC }))).toEqual([])
    for (const degH of [0, -1, NaN]) {
      expect(delayParts(ask({ nowDegH: degH }))).toEqual([])
      expect(delayParts(ask({ plannedDegH: degH }))).toEqual([])
    }
  })

  it('have no trouble with a batch that was only just started', () => {
    const begun = ask({ trace: beginTrace(START), nowMs: START })
    expect(delayReasons(begun)).toEqual([])
    expect(delayReasons({ ...begun, expected: level(24) })).toMatchObject([
      { kind: 'cooler', sinceMs: START, waterC: 24 },
    ])
  })
})
