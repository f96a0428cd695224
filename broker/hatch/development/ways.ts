import type { ExpectedWater } from '../thermal/expected-water.ts'
import { PROBE_SPREAD_C } from '../thermal/projection.ts'
import { equallyLikely } from '../normal.ts'
import { HOUR_MS } from '../units.ts'
import { degHoursAt, type DevelopmentTrace, timeOfDegHours } from './development.ts'
import { lookAheadEach, type Outlook, reachedAt, timeReached } from './outlook.ts'

/** How far a forecast looks ahead, ms. Embryos that are not hatched by then will not be by this water. */
export const HORIZON_MS = 240 * HOUR_MS

/**
 * Into so many equally likely ways the doubt about the water is cut: about what it was in the gaps behind and what it will be
 * ahead. The two are independent, so each way takes another pair of both.
 */
const WAYS = 9
const AHEAD_Z = equallyLikely(WAYS)
const BEHIND_Z = AHEAD_Z.map((_, way) => AHEAD_Z[(4 * way + 6) % WAYS] ?? 0)
/** The middle one is nobody's surprise: everything as expected. */
export const MIDDLE_WAY = WAYS >> 1

/** One way that the development of a batch may go, past and future. */
export interface Way {
  readonly trace: DevelopmentTrace
  /** By what the counted development has to be multiplied for what the gaps may have held. */
  readonly factor: number
  readonly knownUntilMs: number
  /** Development by then, °C·h. */
  readonly knownDegH: number
  readonly outlook: Outlook
  readonly horizonMs: number
}

export interface WaysInput {
  readonly trace: DevelopmentTrace
  readonly expected: ExpectedWater
  readonly nowMs: number
  /** Doubt about the development so far, one standard deviation, °C·h. */
  readonly degHSd: number
  /** So far each way is followed, °C·h. */
  readonly enoughDegH: number
  /** And until this moment at least. */
  readonly throughMs: number
}

export function waysAhead({ trace, expected, nowMs, degHSd, enoughDegH, throughMs }: WaysInput): Way[] {
  const knownUntilMs =
    trace.lastC === null ? trace.startedAtMs : Math.min(trace.lastAtMs, Math.max(nowMs, trace.startedAtMs))
  const counted = degHoursAt(trace, knownUntilMs)
  const horizonMs = Math.max(nowMs, knownUntilMs) + HORIZON_MS
  const known = BEHIND_Z.map(z => Math.max(0, counted + z * degHSd))
  const outlooks = lookAheadEach(
    asMeasured(expected),
    AHEAD_Z.map((z, way) => ({ z, enoughDegH: enoughDegH - (known[way] ?? 0) })),
    knownUntilMs,
    horizonMs,
    throughMs,
  )
  return outlooks.map((outlook, way) => {
    const knownDegH = known[way] ?? counted
    return {
      trace,
      factor: counted > 0 ? knownDegH / counted : 1,
      knownUntilMs,
      knownDegH,
      outlook,
      horizonMs,
    }
  })
}

/**
 * The probe's own error taken out of an expectation: it runs through past and future alike, and is part of what batches of a
 * lot differ by in measured degree-hours.
 */
function asMeasured(expected: ExpectedWater): ExpectedWater {
  if (expected.basis !== 'measured') return expected
  return {
    basis: expected.basis,
    at: atMs => {
      const { levelC, spreadC } = expected.at(atMs)
      return { levelC, spreadC: Math.sqrt(Math.max(0, spreadC * spreadC - PROBE_SPREAD_C * PROBE_SPREAD_C)) }
    },
  }
}

/** Development at a moment, °C·h. */
export function developedBy(way: Way, atMs: number): number {
  return atMs <= way.knownUntilMs
    ? degHoursAt(way.trace, atMs) * way.factor
    : way.knownDegH + reachedAt(way.outlook, atMs)
}

/** When a development is reached, not later than the horizon. */
export function timeOf(way: Way, degH: number): number {
  const past = degH <= way.knownDegH && way.factor > 0 ? timeOfDegHours(way.trace, degH / way.factor) : null
  return Math.min(past ?? timeReached(way.outlook, degH - way.knownDegH), way.horizonMs)
}

/** When any of several developments is reached on any of the ways, Unix ms. */
export function timesOf(ways: readonly Way[], degH: readonly number[]): Float64Array {
  const times = new Float64Array(ways.length * degH.length)
  let at = 0
  const same = ways.every(way => way.factor === 1)
  for (const need of degH) {
    // What is past is the same on all ways unless there were gaps.
    const shared = same && ways[0] && need <= ways[0].knownDegH ? timeOf(ways[0], need) : null
    for (const way of ways) times[at++] = shared ?? timeOf(way, need)
  }
  return times
}
