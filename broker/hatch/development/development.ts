import type { WaterSample } from '../contract.ts'
import { crossGap, varianceBefore, type GapBridge } from './gap-bridge.ts'
import { developmentBetween } from './thermal-clock.ts'
import { HOUR_MS } from '../units.ts'

/** Readings further apart than this leave a gap, ms: it is bridged, and counted in `gapHours` and `degHoursSd`. Own choice. */
export const GAP_MS = 10 * 60_000
/** Knots are first kept this far apart, ms. */
export const KNOT_EVERY_MS = 60_000
/** With so many knots (two weeks of minutes) every second one is dropped and the distance between them doubles. */
export const MAX_KNOTS = 20_160

/**
 * How far the embryos of one batch have developed, over time: the integral of the hatch clock over measured
 * temperatures. It is a value: `advance` gives a new one and leaves the old one true.
 *
 * `degHours` is exact at the newest sample however dense the samples are; the past is kept as knots, one a minute at most,
 * each of them exact; between knots the water is taken to go in a straight line. The way through a gap is kept as knots too.
 */
export interface DevelopmentTrace {
  readonly startedAtMs: number
  /** The newest sample, or the start before there is one. */
  readonly lastAtMs: number
  /** Its temperature; `null` before the first sample. */
  readonly lastC: number | null
  /** Development at `lastAtMs`, °C·h above the threshold. */
  readonly degHours: number
  /** Hours that lie in gaps longer than {@link GAP_MS}, the time before the first sample included. */
  readonly gapHours: number
  /** Doubt about `degHours` from those gaps, one standard deviation, °C·h. */
  readonly degHoursSd: number
  /** Samples counted. */
  readonly samples: number
  readonly knotEveryMs: number
  readonly knots: Knots
  /** How many entries of `knots` are this trace's. */
  readonly knotCount: number
}

/**
 * Columns of knots. Traces that grew out of one another share them: entries are only ever appended, and each trace sees
 * its own first `knotCount`.
 */
interface Knots {
  readonly atMs: number[]
  readonly degH: number[]
  readonly waterC: number[]
  /** Doubt from gaps up to there, (°C·h)². */
  readonly variance: number[]
}

/** A batch that was just started, with nothing measured. */
export function beginTrace(startedAtMs: number): DevelopmentTrace {
  return {
    startedAtMs,
    lastAtMs: startedAtMs,
    lastC: null,
    degHours: 0,
    gapHours: 0,
    degHoursSd: 0,
    samples: 0,
    knotEveryMs: KNOT_EVERY_MS,
    knots: { atMs: [], degH: [], waterC: [], variance: [] },
    knotCount: 0,
  }
}

/**
 * Takes the next good sample in. Between samples the water is taken to go in a straight line, however long the gap; before the
 * first one it is taken to have been as that one. The doubt of a gap is counted. Costs the same for every sample.
 *
 * A sample that is not newer than the last, lies before the start, or is no number changes nothing: after a backlog came in,
 * build the trace anew from what is kept.
 */
export function advance(trace: DevelopmentTrace, sample: WaterSample): DevelopmentTrace {
  return advanceBridging(trace, sample, null)
}

/**
 * As {@link advance}, but through a gap the water goes as the vessel's thermal response has it. `bridge` is that of the readings
 * before the gap; it is looked at only where {@link endsGap}.
 */
export function advanceBridging(
  trace: DevelopmentTrace,
  sample: WaterSample,
  bridge: GapBridge | null,
): DevelopmentTrace {
  const { atMs, waterC } = sample
  const { lastC } = trace
  if (!Number.isFinite(waterC) || !(lastC === null ? atMs >= trace.lastAtMs : atMs > trace.lastAtMs)) {
    return trace
  }
  const gap = atMs - trace.lastAtMs > GAP_MS
  const { degHours, degHoursSd, knots, knotCount, knotEveryMs } =
    lastC === null
      ? begun(trace, sample, gap)
      : gap
        ? across(trace, sample, bridge)
        : along(trace, sample, lastC)
  return {
    startedAtMs: trace.startedAtMs,
    lastAtMs: atMs,
    lastC: waterC,
    degHours,
    gapHours: gap ? trace.gapHours + (atMs - trace.lastAtMs) / HOUR_MS : trace.gapHours,
    degHoursSd,
    samples: trace.samples + 1,
    knotEveryMs,
    knots,
    knotCount,
  }
}

/** Whether a sample ends a gap that a bridge can help across: then, and only then, is one worth its making. */
export function endsGap(trace: DevelopmentTrace, sample: WaterSample): boolean {
  return trace.lastC !== null && sample.atMs - trace.lastAtMs > GAP_MS
}

/** What a sample adds to a trace. */
type Grown = Pick<DevelopmentTrace, 'degHours' | 'degHoursSd' | 'knots' | 'knotCount' | 'knotEveryMs'>

function begun(trace: DevelopmentTrace, { atMs, waterC }: WaterSample, gap: boolean): Grown {
  const hours = (atMs - trace.lastAtMs) / HOUR_MS
  const degHours = developmentBetween(waterC, waterC, hours)
  const variance = gap ? varianceBefore(hours) : 0
  const first = appended(trace, trace.startedAtMs, 0, waterC, 0)
  return {
    ...appendedWhenDue(first, atMs, degHours, waterC, variance),
    degHours,
    degHoursSd: Math.sqrt(variance),
  }
}

function along(trace: DevelopmentTrace, { atMs, waterC }: WaterSample, lastC: number): Grown {
  const hours = (atMs - trace.lastAtMs) / HOUR_MS
  const degHours = trace.degHours + developmentBetween(lastC, waterC, hours)
  const { degHoursSd } = trace
  const { knots, knotCount, knotEveryMs } = appendedWhenDue(trace, atMs, degHours, waterC, degHoursSd ** 2)
  return { knots, knotCount, knotEveryMs, degHours, degHoursSd }
}

function across(trace: DevelopmentTrace, { atMs, waterC }: WaterSample, bridge: GapBridge | null): Grown {
  const { lastAtMs, degHours: before, degHoursSd } = trace
  const lastC = trace.lastC ?? waterC
  const { points, variance } = crossGap(lastC, waterC, (atMs - lastAtMs) / HOUR_MS, bridge)
  let kept: KeptKnots = trace
  if ((trace.knots.atMs[trace.knotCount - 1] ?? lastAtMs) < lastAtMs) {
    kept = appended(kept, lastAtMs, before, lastC, degHoursSd ** 2)
  }
  let degHours = before
  for (const point of points) {
    const share = (point.hours * HOUR_MS) / (atMs - lastAtMs)
    degHours = before + point.degHours
    kept = appendedWhenDue(
      kept,
      share < 1 ? lastAtMs + point.hours * HOUR_MS : atMs,
      degHours,
      point.waterC,
      degHoursSd ** 2 + variance * Math.min(share, 1),
    )
  }
  return { ...kept, degHours, degHoursSd: Math.sqrt(degHoursSd ** 2 + variance) }
}

/** Development at a moment, °C·h: 0 before the start; after the newest sample what is known, with nothing assumed. */
export function degHoursAt(trace: DevelopmentTrace, atMs: number): number {
  if (trace.lastC === null || !(atMs > trace.startedAtMs)) return 0
  if (atMs >= trace.lastAtMs) return trace.degHours
  return within(segment(trace, firstKnot(trace.knots.atMs, trace.knotCount, atMs)), atMs)
}

/**
 * Doubt about {@link degHoursAt} from the gaps up to that moment, one standard deviation, °C·h: 0 before the start. Within a gap
 * its variance grows evenly.
 */
export function degHoursSdAt(trace: DevelopmentTrace, atMs: number): number {
  if (trace.lastC === null || !(atMs > trace.startedAtMs)) return 0
  if (atMs >= trace.lastAtMs) return trace.degHoursSd
  const { knots, knotCount } = trace
  const to = firstKnot(knots.atMs, knotCount, atMs)
  const toMs = knots.atMs[to] ?? trace.lastAtMs
  const fromMs = knots.atMs[to - 1] ?? trace.startedAtMs
  const toVariance = to < knotCount ? (knots.variance[to] ?? 0) : trace.degHoursSd ** 2
  const fromVariance = knots.variance[to - 1] ?? 0
  const share = toMs > fromMs ? (atMs - fromMs) / (toMs - fromMs) : 1
  return Math.sqrt(fromVariance + (toVariance - fromVariance) * share)
}

/** When a development was first reached, Unix ms; `null` when it is not reached yet. */
export function timeOfDegHours(trace: DevelopmentTrace, degH: number): number | null {
  if (!(degH <= trace.degHours)) return null
  if (degH <= 0 || trace.lastC === null) return trace.startedAtMs
  const piece = segment(trace, firstKnot(trace.knots.degH, trace.knotCount, degH))
  let low = piece.fromMs
  let high = piece.toMs
  while (high - low > 0.5) {
    const middle = (low + high) / 2
    if (within(piece, middle) < degH) low = middle
    else high = middle
  }
  return high
}

/** The stretch between two neighbouring knots, the newest sample counting as one. */
interface Segment {
  readonly fromMs: number
  readonly toMs: number
  readonly fromC: number
  readonly toC: number
  readonly fromDegH: number
  readonly toDegH: number
}

function segment(trace: DevelopmentTrace, to: number): Segment {
  const { knots, knotCount } = trace
  const from = Math.max(to - 1, 0)
  const open = to >= knotCount
  return {
    fromMs: knots.atMs[from] ?? trace.startedAtMs,
    fromC: knots.waterC[from] ?? 0,
    fromDegH: knots.degH[from] ?? 0,
    toMs: open ? trace.lastAtMs : (knots.atMs[to] ?? trace.lastAtMs),
    toC: open ? (trace.lastC ?? 0) : (knots.waterC[to] ?? 0),
    toDegH: open ? trace.degHours : (knots.degH[to] ?? trace.degHours),
  }
}

/** The straight line's development, scaled so that it ends at what was really counted between the knots. */
function within(piece: Segment, atMs: number): number {
  const share = Math.min(Math.max((atMs - piece.fromMs) / (piece.toMs - piece.fromMs), 0), 1)
  const counted = piece.toDegH - piece.fromDegH
  if (!(counted > 0)) return piece.fromDegH
  const atC = piece.fromC + (piece.toC - piece.fromC) * share
  const whole = developmentBetween(piece.fromC, piece.toC, 1)
  const part = whole > 0 ? developmentBetween(piece.fromC, atC, share) / whole : share
  return piece.fromDegH + counted * Math.min(part, 1)
}

/** The first of `count` rising entries that is not below `value`, or `count`. */
function firstKnot(column: readonly number[], count: number, value: number): number {
  let low = 0
  let high = count
  while (low < high) {
    const middle = (low + high) >>> 1
    if ((column[middle] ?? Infinity) < value) low = middle + 1
    else high = middle
  }
  return low
}

type KeptKnots = Pick<DevelopmentTrace, 'knots' | 'knotCount' | 'knotEveryMs'>

function appendedWhenDue(
  kept: KeptKnots,
  atMs: number,
  degH: number,
  waterC: number,
  variance: number,
): KeptKnots {
  const { knots, knotCount, knotEveryMs } = kept
  return atMs - (knots.atMs[knotCount - 1] ?? 0) >= knotEveryMs
    ? appended(kept, atMs, degH, waterC, variance)
    : kept
}

function appended(kept: KeptKnots, atMs: number, degH: number, waterC: number, variance: number): KeptKnots {
  const { knots, knotCount, knotEveryMs } = kept
  // Another trace has grown past this one on the same columns: part ways.
  const own = knots.atMs.length === knotCount ? knots : firstOf(knots, knotCount)
  own.atMs.push(atMs)
  own.degH.push(degH)
  own.waterC.push(waterC)
  own.variance.push(variance)
  if (knotCount < MAX_KNOTS) return { knots: own, knotCount: knotCount + 1, knotEveryMs }
  const thinned = everySecond(own, knotCount + 1)
  return { knots: thinned, knotCount: thinned.atMs.length, knotEveryMs: knotEveryMs * 2 }
}

function firstOf({ atMs, degH, waterC, variance }: Knots, count: number): Knots {
  return {
    atMs: atMs.slice(0, count),
    degH: degH.slice(0, count),
    waterC: waterC.slice(0, count),
    variance: variance.slice(0, count),
  }
}

/** Every second knot, the first and the newest among them. */
function everySecond(knots: Knots, count: number): Knots {
  const keep = (column: readonly number[]) =>
    column.filter((_, at) => at < count && (at % 2 === 0 || at === count - 1))
  return {
    atMs: keep(knots.atMs),
    degH: keep(knots.degH),
    waterC: keep(knots.waterC),
    variance: keep(knots.variance),
  }
}
