import { advance, beginTrace } from '../../broker/hatch/development/development.ts'
import { HarvestGoal, type WaterSample } from '../../broker/hatch/contract.ts'
import { expectWater } from '../../broker/hatch/thermal/expected-water.ts'
import { forecast } from '../../broker/hatch/forecast.ts'
import { unseenLot } from '../../broker/hatch/lot/lot.ts'
import { scenarioNamed } from '../../sim/scenarios/index.ts'
import { runVirtual } from '../../sim/virtual.ts'
import { middle } from './numbers.ts'
import type { Figure, Settings, Subject } from './subject.ts'

const HOURS = 36
const HOUR_MS = 3_600_000

/** The two models at work: a forecast over a whole batch, a reading a second, and a simulated vessel over the same time. */
export const model: Subject = {
  name: 'model',
  measure({ repeats }: Settings) {
    const water = Array.from({ length: HOURS * 3600 }, (_, second): WaterSample => {
      return { atMs: second * 1000, waterC: 27 + Math.sin(second / 3600) }
    })
    const rounds = Array.from({ length: 5 * repeats }, (_, round) => round)
    const whole = rounds.map(() => tookMs(() => forecastOver(water)))
    const simulated = rounds.map(seed =>
      tookMs(() => runVirtual(scenarioNamed('healthy'), { hours: HOURS, seed, stepS: 10 })),
    )
    const figures: Figure[] = [
      { name: '36 h at 1/s taken in and forecast', unit: 'ms', ...middle(whole) },
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
    trace: water.reduce(advance, beginTrace(0)),
    expected: expectWater(water.slice(-10_800), nowMs, 27),
    lot: { ...unseenLot },
    goal: HarvestGoal.balanced,
  })
}

function tookMs(work: () => void): number {
  const began = performance.now()
  work()
  return performance.now() - began
}
