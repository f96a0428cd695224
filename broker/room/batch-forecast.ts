import type { Forecast, WaterSample } from '../hatch/contract.ts'
import { HarvestGoal } from '../hatch/contract.ts'
import { advance, beginTrace, type DevelopmentTrace } from '../hatch/development/development.ts'
import { expectWater } from '../hatch/thermal/expected-water.ts'
import { forecast } from '../hatch/forecast.ts'
import { unseenLot } from '../hatch/lot/lot.ts'
import { Quality } from '../intake/reading.ts'
import type { BatchRow, Sample } from '../store/contract.ts'

/** The middle of the trade's working range (common practice, no source): expected where nothing was measured. */
const PLANNED_C = 27.2

/** How far back the expectation of the water looks, before the start of the batch too, and how densely: at most 900 samples. */
export const RECENT_MS = 2 * 3_600_000
const RECENT_STEP_MS = 10_000

/** One batch's development over the water it really had, and its forecast. Fed sample by sample, in rising time. */
export class BatchForecast {
  readonly batch: BatchRow
  #trace: DevelopmentTrace
  #recent: WaterSample[] = []

  constructor(batch: BatchRow) {
    this.batch = batch
    this.#trace = beginTrace(batch.startedAtMs)
  }

  /**
   * Takes in a water sample with calibration applied. Bad and missing values are a gap. What lies before the start does not
   * develop anything, but says how warm the water is.
   */
  take(sample: Sample): void {
    if (sample.quality !== Quality.good || sample.value === null) return
    const water = { atMs: sample.atMs, waterC: sample.value }
    this.#trace = advance(this.#trace, water)
    this.#remember(water)
  }

  at(nowMs: number): Forecast {
    return forecast({
      startedAtMs: this.batch.startedAtMs,
      nowMs,
      trace: this.#trace,
      expected: expectWater(this.#recent, nowMs, PLANNED_C),
      lot: unseenLot,
      goal: HarvestGoal.balanced,
    })
  }

  #remember(water: WaterSample): void {
    const last = this.#recent.at(-1)
    if (last !== undefined && water.atMs < last.atMs + RECENT_STEP_MS) return
    this.#recent.push(water)
    const oldest = this.#recent[0]
    // Dropped in bulk: shifting one by one would move the whole array at every sample.
    if (oldest !== undefined && water.atMs - oldest.atMs > 1.25 * RECENT_MS) {
      this.#recent = this.#recent.filter(kept => water.atMs - kept.atMs <= RECENT_MS)
    }
  }
}
