import type { Band, Forecast, ForecastInput, LotBelief } from '../hatch/contract.ts'
import { type CourseSpan, hatchCourse, type HatchCourse } from '../hatch/course.ts'
import {
  advanceBridging,
  beginTrace,
  degHoursAt,
  degHoursSdAt,
  endsGap,
  type DevelopmentTrace,
} from '../hatch/development/development.ts'
import { bridgeFrom, type GapBridge } from '../hatch/development/gap-bridge.ts'
import { developmentRate } from '../hatch/development/thermal-clock.ts'
import { forecast } from '../hatch/forecast.ts'
import { lotBelief } from '../hatch/lot/belief.ts'
import type { BatchEvidence } from '../hatch/lot/evidence.ts'
import { hatchBand, naupliiPerGBand } from '../hatch/lot/lot.ts'
import { expectWater, type ExpectedWater } from '../hatch/thermal/expected-water.ts'
import { ThermalMemory } from '../hatch/thermal/memory.ts'
import { LOOKS_BACK_MS, steadied } from '../hatch/thermal/steadied.ts'
import type { ThermalResponse } from '../hatch/thermal/response.ts'
import { timeToLimit } from '../hatch/thermal/time-to-limit.ts'
import { HOUR_MS } from '../hatch/units.ts'
import { delayReasons } from '../hatch/why.ts'
import { Quality } from '../intake/reading.ts'
import type { BatchRow, Sample } from '../store/contract.ts'
import type { BatchForecastView } from './views.ts'

/** The middle of the trade's working range (common practice, no source): planned, and expected where nothing was measured. */
export const PLANNED_C = 27.2

/** The water is followed from so long before the start of a batch: it tells how the vessel answers to its heater. */
export const BEFORE_START_MS = 2 * HOUR_MS
/** Readings that come faster tell no more of that. */
const THERMAL_EVERY_MS = 10_000

/** A course is drawn to this long after its harvest. */
const AFTER_HARVEST_MS = 4 * HOUR_MS

/** What a batch's forecast rests on beside its water. */
export interface Knowledge {
  /** What was seen of the lot's other batches, oldest first. */
  readonly history: readonly BatchEvidence[]
  /** What was seen of this one. */
  readonly current: BatchEvidence
  /** The newest of all that, and what was known without it; left out while nothing was seen. */
  readonly newest?: NewestSeen
}

export interface NewestSeen extends Pick<
  NonNullable<BatchForecastView['moved']>,
  'kind' | 'atMs' | 'vesselId'
> {
  readonly without: Pick<Knowledge, 'history' | 'current'>
}

/** What was seen is spoken of as news for so long, and where it moved the harvest by so much. Own choices. */
const NEWS_FOR_MS = 12 * HOUR_MS
const MOVED_BY_MS = HOUR_MS / 2

/** One batch's development over the water it really had, and its forecast. Fed sample by sample, in rising time. */
export class BatchForecast {
  readonly batch: BatchRow
  #trace: DevelopmentTrace
  readonly #thermal: ThermalMemory
  #thermalAtMs = -Infinity
  /** As fitted last; `undefined` once newer readings have come. */
  #response: ThermalResponse | null | undefined
  #steady: ThermalResponse | undefined
  #knowledge: Knowledge
  /** What was believed of the lot when the batch began; `null` until it is asked for. */
  #planned: LotBelief | null
  /** What is believed now. */
  #lot: LotBelief
  /** What was believed before the newest was seen; `null` until it is asked for. */
  #lotBefore: LotBelief | null = null

  constructor(batch: BatchRow) {
    this.batch = batch
    this.#trace = beginTrace(batch.startedAtMs)
    this.#thermal = new ThermalMemory({ litres: batch.litres, plannedC: PLANNED_C })
    const { startedAtMs, litres, cystsG } = batch
    this.#knowledge = { history: [], current: { startedAtMs, litres, cystsG, items: [] } }
    this.#planned = this.#lot = lotBelief([], null, startedAtMs)
  }

  /**
   * Takes in a water sample with calibration applied. Bad and missing values are a gap. What lies before the start does not
   * develop anything, but says how warm the water is.
   */
  take(sample: Sample): void {
    if (sample.quality !== Quality.good || sample.value === null) return
    const water = { atMs: sample.atMs, waterC: sample.value }
    const bridge = endsGap(this.#trace, water) ? this.#bridge() : null
    this.#trace = advanceBridging(this.#trace, water, bridge)
    if (sample.atMs < this.#thermalAtMs + THERMAL_EVERY_MS) return
    this.#thermalAtMs = sample.atMs
    this.#thermal.take(water)
    this.#response = undefined
    this.#steady = undefined
  }

  /** Whether any water of the batch was measured. */
  get measured(): boolean {
    return this.#trace.lastC !== null
  }

  /** Whether it was counted at its harvest. */
  get harvested(): boolean {
    return this.#knowledge.current.items.some(item => item.kind === 'count' && item.harvest)
  }
  /** Nauplii of this batch were seen already: the first swimmers, or some in a count. */
  get wasSeen(): boolean {
    return this.#knowledge.current.items.some(item => item.kind === 'first-swimmers' || item.nauplii > 0)
  }

  believe(knowledge: Knowledge): void {
    const { startedAtMs } = this.batch
    this.#knowledge = knowledge
    this.#planned = null
    this.#lotBefore = null
    this.#lot = lotBelief(knowledge.history, knowledge.current, startedAtMs)
  }

  #firstSeen(): Pick<BatchForecastView, 'firstSeenMs'> {
    const first = this.#knowledge.current.items.find(({ kind }) => kind === 'first-swimmers')
    return first ? { firstSeenMs: first.atMs } : {}
  }

  /** By how much the newest that was seen of the lot moved the harvest, as long as that is news. */
  #moved(input: ForecastInput, now: Forecast): Pick<BatchForecastView, 'moved'> {
    const { newest } = this.#knowledge
    if (!newest || newest.atMs > input.nowMs || input.nowMs - newest.atMs > NEWS_FOR_MS) return {}
    const { kind, atMs, vesselId, without } = newest
    const lot = (this.#lotBefore ??= lotBelief(without.history, without.current, this.batch.startedAtMs))
    const before = forecast({ ...input, lot })
    const laterMs = now.harvest.bestMs - before.harvest.bestMs
    if (!now.reachesHatch || !before.reachesHatch || Math.abs(laterMs) < MOVED_BY_MS) return {}
    return { moved: { kind, atMs, vesselId, laterMs, hatchedBefore: before.hatchedNow } }
  }

  /** The development at a moment, °C·h, and how sure it is, one standard deviation. */
  developmentAt(atMs: number): { degH: number; degHSd: number } {
    const trace = this.#trace
    const aheadMs = Math.max(0, atMs - Math.max(trace.lastAtMs, trace.startedAtMs))
    const { levelC, spreadC } = this.#expected(atMs).at(atMs - aheadMs / 2)
    const aheadH = aheadMs / HOUR_MS
    return {
      degH: degHoursAt(trace, atMs) + developmentRate(levelC) * aheadH,
      degHSd: degHoursSdAt(trace, atMs) + spreadC * aheadH,
    }
  }

  /** The forecast as of a moment; `hotC` is the vessel's heat limit. */
  at(nowMs: number, hotC: number): BatchForecastView {
    const { batch } = this
    const expected = this.#expected(nowMs)
    const input = this.#input(nowMs, expected)
    const result = forecast(input)
    const { history, current } = this.#knowledge
    const planned = (this.#planned ??= lotBelief(history, null, batch.startedAtMs))
    return {
      ...result,
      nauplii: times(result.naupliiPerG, batch.cystsG),
      ...this.#firstSeen(),
      ...this.#moved(input, result),
      waterMeasured: this.measured,
      naupliiBefore: times(naupliiPerGBand(this.#planned), batch.cystsG),
      hatchShareBefore: hatchBand(this.#planned),
      why: delayReasons({
        startedAtMs: batch.startedAtMs,
        nowMs,
        trace: this.#trace,
        expected,
        plannedC: PLANNED_C,
        plannedDegH: planned.medianDegH,
        nowDegH: this.#lot.medianDegH,
      }),
      heading: heading(this.#fit(), hotC, nowMs),
      lot: {
        name: batch.lot,
        batches: history.filter(({ items }) => items.length > 0).length,
        observations: [...history, current].reduce((sum, { items }) => sum + items.length, 0),
      },
    }
  }

  /** How it went and will go; from the start to past the harvest, unless asked otherwise. */
  course(nowMs: number, span: { fromMs?: number; toMs?: number; points: number }): HatchCourse {
    const input = this.#input(nowMs, this.#expected(nowMs))
    const fromMs = span.fromMs ?? this.batch.startedAtMs
    const toMs = span.toMs ?? Math.max(forecast(input).harvest.untilMs + AFTER_HARVEST_MS, nowMs)
    return hatchCourse(input, { fromMs, toMs: Math.max(toMs, fromMs + 1), points: span.points })
  }

  /** The middle of its course over a span, and when a tenth and nine tenths were or will be out, Unix ms. */
  line(
    nowMs: number,
    span: CourseSpan,
  ): Pick<HatchCourse, 't'> & { share: readonly number[]; t10Ms: number; t90Ms: number } {
    const input = this.#input(nowMs, this.#expected(nowMs))
    const { t10, t90 } = forecast(input)
    const { t, hatched } = hatchCourse(input, span)
    return { t, share: hatched.p50, t10Ms: t10.p50, t90Ms: t90.p50 }
  }

  #input(nowMs: number, expected: ExpectedWater): ForecastInput {
    const { startedAtMs, goal } = this.batch
    return { startedAtMs, nowMs, trace: this.#trace, expected, lot: this.#lot, goal }
  }

  #bridge(): GapBridge | null {
    const response = this.#fit()
    return response && bridgeFrom(response)
  }

  #fit(): ThermalResponse | null {
    return (this.#response ??= this.#thermal.fit())
  }

  /** As fitted, but steady under what is over within the hour. */
  #steadied(): ThermalResponse | null {
    const response = this.#fit()
    if (response === null) return null
    return (this.#steady ??= steadied(response, this.#thermal.heldBefore(LOOKS_BACK_MS)))
  }

  #expected(nowMs: number): ExpectedWater {
    return expectWater([], nowMs, PLANNED_C, { response: this.#steadied() })
  }
}

/** When the water crosses its heat limit on this course; `null` when it does not, or is above it already. */
function heading(
  response: ThermalResponse | null,
  hotC: number,
  nowMs: number,
): BatchForecastView['heading'] {
  if (response === null || response.levelC.p50 >= hotC) return null
  const at = timeToLimit(response, hotC, nowMs)
  return at && { limitC: hotC, at }
}

function times({ p10, p50, p90 }: Band, factor: number): Band {
  return { p10: p10 * factor, p50: p50 * factor, p90: p90 * factor }
}
