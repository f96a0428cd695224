import { advance, beginTrace, type DevelopmentTrace } from '../../broker/hatch/development/development.ts'
import { HarvestGoal, type WaterSample } from '../../broker/hatch/contract.ts'
import { expectWater } from '../../broker/hatch/thermal/expected-water.ts'
import { ThermalMemory } from '../../broker/hatch/thermal/memory.ts'
import { forecast } from '../../broker/hatch/forecast.ts'
import { lotBelief } from '../../broker/hatch/lot/belief.ts'
import type { BatchEvidence } from '../../broker/hatch/lot/evidence.ts'
import { unseenLot } from '../../broker/hatch/lot/lot.ts'
import { scenarioNamed } from '../../sim/scenarios/index.ts'
import { runVirtual } from '../../sim/virtual.ts'
import { middle } from './numbers.ts'
import type { Figure, Settings, Subject } from './subject.ts'

const HOURS = 36
const HOUR_MS = 3_600_000
/** A moment between soak and hatch: nothing is past yet, everything has to be reckoned. */
const MIDWAY_H = 14

/** The two models at work: a forecast over a whole batch, a reading a second, and a simulated vessel over the same time. */
export const model: Subject = {
  name: 'model',
  measure({ repeats }: Settings) {
    const water = Array.from({ length: HOURS * 3600 }, (_, second): WaterSample => {
      return { atMs: second * 1000, waterC: 27 + Math.sin(second / 3600) }
    })
    const rounds = Array.from({ length: 5 * repeats }, (_, round) => round)
    const whole = rounds.map(() => tookMs(() => forecastOver(water)))
    const history = countedBatches(50)
    const learned = rounds.map(() => tookMs(() => lotBelief(history, null, 101 * 24 * HOUR_MS)))
    const simulated = rounds.map(seed =>
      tookMs(() => runVirtual(scenarioNamed('healthy'), { hours: HOURS, seed, stepS: 10 })),
    )
    const figures: Figure[] = [
      { name: '36 h at 1/s taken in and forecast', unit: 'ms', bar: { below: 20 }, ...middle(whole) },
      {
        name: 'one more reading taken in and forecast',
        unit: 'ms',
        bar: { below: 1 },
        ...middle(oneByOne(water, 40 * repeats)),
      },
      { name: 'a lot learned from 50 batches', unit: 'ms', bar: { below: 20 }, ...middle(learned) },
      { name: '36 h of a vessel simulated in steps of 10 s', unit: 'ms', ...middle(simulated) },
      {
        name: 'a forecast, share of simulating the same 36 h',
        unit: '',
        ...middle(whole.map((ms, i) => ms / (simulated[i] ?? NaN))),
      },
    ]
    return Promise.resolve(figures)
  },
}

function forecastOver(water: readonly WaterSample[]): void {
  const nowMs = HOURS * HOUR_MS
  // A lot each time, so that nothing kept from the last forecast helps.
  forecast({
    startedAtMs: 0,
    nowMs,
    trace: water.reduce<DevelopmentTrace>((trace, sample) => advance(trace, sample), beginTrace(0)),
    expected: expectWater(water.slice(-10_800), nowMs, 27),
    lot: { ...unseenLot },
    goal: HarvestGoal.balanced,
  })
}

/** How long each of some readings takes from being told to a new forecast, the water's response fitted anew each time. */
function oneByOne(water: readonly WaterSample[], readings: number): number[] {
  const thermal = new ThermalMemory({ litres: 1, plannedC: 27 })
  const lot = lotBelief(countedBatches(3), null, 10 * 24 * HOUR_MS)
  let trace = beginTrace(0)
  const take = (sample: WaterSample) => {
    trace = advance(trace, sample)
    thermal.take(sample)
  }
  const midway = MIDWAY_H * 3600
  for (const sample of water.slice(0, midway)) take(sample)
  return water.slice(midway, midway + readings).map(sample =>
    tookMs(() => {
      take(sample)
      const nowMs = sample.atMs
      const expected = expectWater([], nowMs, 27, { response: thermal.fit() })
      forecast({ startedAtMs: 0, nowMs, trace, expected, lot, goal: HarvestGoal.balanced })
    }),
  )
}

/** Batches two days apart, each with its first swimmers and a count at harvest. */
function countedBatches(batches: number): BatchEvidence[] {
  return Array.from({ length: batches }, (_, batch) => {
    const startedAtMs = 2 * batch * 24 * HOUR_MS
    const at = (degH: number) => ({ degH, degHSd: 1, atMs: startedAtMs + (degH / 16) * HOUR_MS })
    return {
      startedAtMs,
      litres: 1,
      cystsG: 2,
      items: [
        { kind: 'first-swimmers', ...at(240 + (batch % 7)) },
        {
          kind: 'count',
          ...at(350 + 3 * (batch % 5)),
          nauplii: 560 - (batch % 11),
          umbrella: 30,
          embryos: 160,
          sampledMl: 1.5,
          harvest: true,
        },
      ],
    }
  })
}

function tookMs(work: () => void): number {
  const began = performance.now()
  work()
  return performance.now() - began
}
