/** Whether a probe has come to rest in a bath, and how long that still takes. */

export interface ProbeReading {
  readonly atMs: number
  readonly valueC: number
}

export interface Steadiness {
  readonly steady: boolean
  /** How long it has been at rest up to its newest reading, ms. */
  readonly stillForMs: number
  /** How much longer it must stay at rest, ms, if it does from now on; 0 once it is steady. */
  readonly waitMs: number
  /** Of the readings at rest, or, while it moves, of the newest ones: mean, standard deviation and pace. */
  readonly meanC: number
  readonly spreadC: number
  readonly slopeCPerMin: number
  readonly count: number
  readonly fromMs: number
  readonly toMs: number
}

/**
 * A probe in a steel sleeve follows its bath with a delay of about half a minute (common practice, no source): after two minutes at
 * rest what is left of a step of 25 °C is below half a degree of a tenth.
 */
export const REST_MS = 120_000
/** Fewer readings than this tell no spread. Own choice. */
export const LEAST_READINGS = 6
/** More than this is not looked at, ms: a bath warms in the end. */
const LONGEST_MS = 10 * 60_000
/** A gap of this length breaks the rest: nobody knows what happened meanwhile, ms. Own choice: two readings a minute, one lost. */
const GAP_MS = 90_000
/**
 * At rest it moves by less than this, °C a minute: at the delay of half a minute it is then within 0.03 °C of its bath. Own choice.
 */
export const STEADY_SLOPE = 0.05
/** And scatters by less than this, °C: a DS18B20 that wavers between three of its steps of 0.0625 °C has 0.05. Own choice. */
export const STEADY_SPREAD_C = 0.08

/**
 * Looks back from the newest reading for the longest time over which the probe moved by less than {@link STEADY_SLOPE} and
 * scattered by less than {@link STEADY_SPREAD_C}. `null` without two readings.
 * @param readings oldest first, as measured.
 */
export function steadiness(readings: readonly ProbeReading[]): Steadiness | null {
  const newest = readings.at(-1)
  if (newest === undefined || readings.length < 2) return null
  let from = readings.length - 1
  while (from > 0) {
    const [one, other] = [readings[from - 1]!, readings[from]!]
    if (other.atMs - one.atMs > GAP_MS || newest.atMs - one.atMs > LONGEST_MS) break
    from--
  }
  const joined = readings.slice(from)
  let best = course(joined.slice(-2))
  // From the newest back: the first length that no longer rests ends the search, so that an earlier rest does not count.
  for (let length = 3; length <= joined.length; length++) {
    const each = course(joined.slice(-length))
    const long = each.toMs - each.fromMs
    // A few readings of coarse steps have any slope; they are judged by their spread alone.
    const rests =
      each.spreadC <= STEADY_SPREAD_C && (long < REST_MS / 2 || Math.abs(each.slopeCPerMin) <= STEADY_SLOPE)
    if (!rests) break
    best = each
  }
  const rests = best.spreadC <= STEADY_SPREAD_C
  const stillForMs = rests ? best.toMs - best.fromMs : 0
  const steady = stillForMs >= REST_MS && best.count >= LEAST_READINGS
  const everyMs = joined.length > 1 ? (newest.atMs - joined[0]!.atMs) / (joined.length - 1) : REST_MS
  const missing = Math.max(0, LEAST_READINGS - (rests ? best.count : 0)) * everyMs
  return {
    ...best,
    steady,
    stillForMs,
    waitMs: steady ? 0 : Math.max(REST_MS - stillForMs, missing, everyMs),
  }
}

function course(readings: readonly ProbeReading[]) {
  const count = readings.length
  const fromMs = readings[0]?.atMs ?? 0
  const toMs = readings.at(-1)?.atMs ?? 0
  const meanC = readings.reduce((sum, { valueC }) => sum + valueC, 0) / count
  const meanMs = readings.reduce((sum, { atMs }) => sum + (atMs - fromMs), 0) / count
  let squares = 0
  let products = 0
  let times = 0
  for (const { atMs, valueC } of readings) {
    squares += (valueC - meanC) ** 2
    products += (atMs - fromMs - meanMs) * (valueC - meanC)
    times += (atMs - fromMs - meanMs) ** 2
  }
  return {
    meanC,
    spreadC: count > 1 ? Math.sqrt(squares / (count - 1)) : 0,
    slopeCPerMin: times > 0 ? (products / times) * 60_000 : 0,
    count,
    fromMs,
    toMs,
  }
}
