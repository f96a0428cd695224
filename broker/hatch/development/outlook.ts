import type { ExpectedWater } from '../thermal/expected-water.ts'
import { developmentBetween } from './thermal-clock.ts'
import { HOUR_MS } from '../units.ts'

/** Expected water is looked at this often, ms. */
const STEP_MS = 10 * 60_000

/**
 * Development from a moment on, if the water keeps `z` standard deviations from its expected level: cumulated, °C·h, one entry
 * every {@link STEP_MS} from the first, which is 0.
 */
export interface Outlook {
  readonly fromMs: number
  readonly degH: readonly number[]
}

/** Looks ahead until `enoughDegH` are reached, or `untilMs`. */
export function lookAhead(
  expected: ExpectedWater,
  z: number,
  fromMs: number,
  untilMs: number,
  enoughDegH: number,
): Outlook {
  return lookAheadEach(expected, [{ z, enoughDegH }], fromMs, untilMs)[0] ?? { fromMs, degH: [0] }
}

/**
 * The same for several distances at once, so that the expectation is asked once for each moment; and for each until `throughMs` at
 * least, whatever was reached by then.
 */
export function lookAheadEach(
  expected: ExpectedWater,
  ways: readonly { readonly z: number; readonly enoughDegH: number }[],
  fromMs: number,
  untilMs: number,
  throughMs = fromMs,
): Outlook[] {
  let { levelC, spreadC } = expected.at(fromMs)
  const going = ways.map(({ z, enoughDegH }) => ({
    z,
    enoughDegH,
    degH: [0],
    total: 0,
    waterC: levelC + z * spreadC,
  }))
  const goesOn = (atMs: number, way: { readonly total: number; readonly enoughDegH: number }) =>
    atMs < throughMs || way.total < way.enoughDegH
  for (let atMs = fromMs; atMs < untilMs && going.some(way => goesOn(atMs, way)); atMs += STEP_MS) {
    ;({ levelC, spreadC } = expected.at(atMs + STEP_MS))
    for (const way of going) {
      if (!goesOn(atMs, way)) continue
      const nextC = levelC + way.z * spreadC
      way.total += developmentBetween(way.waterC, nextC, STEP_MS / HOUR_MS)
      way.degH.push(way.total)
      way.waterC = nextC
    }
  }
  return going.map(({ degH }) => ({ fromMs, degH }))
}

/** When a development counted from the outlook's beginning is reached; `Infinity` when not within it. */
export function timeReached(outlook: Outlook, degH: number): number {
  const { degH: column, fromMs } = outlook
  if (degH <= 0) return fromMs
  let low = 0
  let high = column.length
  while (low < high) {
    const middle = (low + high) >>> 1
    if ((column[middle] ?? Infinity) < degH) low = middle + 1
    else high = middle
  }
  const after = column[low]
  const before = column[low - 1]
  if (after === undefined || before === undefined) return Infinity
  return fromMs + (low - 1 + (degH - before) / (after - before)) * STEP_MS
}

/** Development at a moment, counted from the outlook's beginning; after its end what it ended with. */
export function reachedAt(outlook: Outlook, atMs: number): number {
  const at = Math.max(0, (atMs - outlook.fromMs) / STEP_MS)
  const before = outlook.degH[Math.floor(at)] ?? outlook.degH.at(-1) ?? 0
  const after = outlook.degH[Math.floor(at) + 1] ?? before
  return before + (after - before) * (at - Math.floor(at))
}
