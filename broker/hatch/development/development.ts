import type { WaterSample } from '../contract.ts'
import { developmentBetween } from './thermal-clock.ts'
import { HOUR_MS } from '../units.ts'

/** Readings further apart than this leave a gap, ms: it is bridged, and counted in `gapHours`. Own choice. */
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
 * each of them exact; between knots the water is taken to go in a straight line.
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
}

/** A batch that was just started, with nothing measured. */
export function beginTrace(startedAtMs: number): DevelopmentTrace {
  return {
    startedAtMs,
    lastAtMs: startedAtMs,
    lastC: null,
    degHours: 0,
    gapHours: 0,
    samples: 0,
    knotEveryMs: KNOT_EVERY_MS,
    knots: { atMs: [], degH: [], waterC: [] },
    knotCount: 0,
  }
}

/**
 * Takes the next good sample in. Between samples the water is taken to go in a straight line, however long the gap;
 * before the first one it is taken to have been as that one.
 *
 * A sample that is not newer than the last, lies before the start, or is no number changes nothing: after a backlog came in,
 * build the trace anew from what is kept.
 */
export function advance(trace: DevelopmentTrace, sample: WaterSample): DevelopmentTrace {
  const { atMs, waterC } = sample
  const first = trace.lastC === null
  if (!Number.isFinite(waterC) || !(first ? atMs >= trace.lastAtMs : atMs > trace.lastAtMs)) return trace

  const hours = (atMs - trace.lastAtMs) / HOUR_MS
  const degHours = trace.degHours + developmentBetween(trace.lastC ?? waterC, waterC, hours)
  const gapHours = atMs - trace.lastAtMs > GAP_MS ? trace.gapHours + hours : trace.gapHours

  let { knots, knotCount, knotEveryMs } = trace
  if (first) {
    knots = append(knots, 0, trace.startedAtMs, 0, waterC)
    knotCount = 1
  }
  if (atMs - (knots.atMs[knotCount - 1] ?? 0) >= knotEveryMs) {
    knots = append(knots, knotCount, atMs, degHours, waterC)
    knotCount++
    if (knotCount > MAX_KNOTS) {
      knots = everySecond(knots, knotCount)
      knotCount = knots.atMs.length
      knotEveryMs *= 2
    }
  }
  return {
    startedAtMs: trace.startedAtMs,
    lastAtMs: atMs,
    lastC: waterC,
    degHours,
    gapHours,
    samples: trace.samples + 1,
    knotEveryMs,
    knots,
    knotCount,
  }
}

/** Development at a moment, °C·h: 0 before the start; after the newest sample what is known, with nothing assumed. */
export function degHoursAt(trace: DevelopmentTrace, atMs: number): number {
  if (trace.lastC === null || !(atMs > trace.startedAtMs)) return 0
  if (atMs >= trace.lastAtMs) return trace.degHours
  return within(segment(trace, firstKnot(trace.knots.atMs, trace.knotCount, atMs)), atMs)
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

function append(knots: Knots, count: number, atMs: number, degH: number, waterC: number): Knots {
  // Another trace has grown past this one on the same columns: part ways.
  const own =
    knots.atMs.length === count
      ? knots
      : {
          atMs: knots.atMs.slice(0, count),
          degH: knots.degH.slice(0, count),
          waterC: knots.waterC.slice(0, count),
        }
  own.atMs.push(atMs)
  own.degH.push(degH)
  own.waterC.push(waterC)
  return own
}

/** Every second knot, the first and the newest among them. */
function everySecond(knots: Knots, count: number): Knots {
  const keep = (column: readonly number[]) =>
    column.filter((_, at) => at < count && (at % 2 === 0 || at === count - 1))
  return { atMs: keep(knots.atMs), degH: keep(knots.degH), waterC: keep(knots.waterC) }
}
