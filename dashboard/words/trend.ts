/** Which way a temperature goes. */
export const Trend = { rising: 'rising', falling: 'falling', steady: 'steady' } as const
export type Trend = (typeof Trend)[keyof typeof Trend]

/** The stretch of time that a trend is read from, ms. Own choice: a lamp moves a litre by several tenths of a degree in it. */
export const TREND_MS = 10 * 60_000
/** With less than this a trend is a guess, ms. */
const LEAST_MS = 3 * 60_000
const LEAST_POINTS = 4
/** Less change than this over the stretch is the probe's noise and steps (0.0625 °C), not the water, °C. */
const STEADY_C = 0.15

/** The trend of the newest temperatures, by a straight line through them; `null` when they are too few to tell. */
export function waterTrend(
  { t, mean }: { readonly t: readonly number[]; readonly mean: readonly number[] },
  nowMs: number,
): Trend | null {
  const first = t.findIndex(at => at >= nowMs - TREND_MS)
  if (first < 0 || t.length - first < LEAST_POINTS) return null
  const fromMs = t[first] ?? 0
  if ((t.at(-1) ?? 0) - fromMs < LEAST_MS) return null
  const x = t.slice(first).map(at => at - fromMs)
  const y = mean.slice(first)
  const middleX = average(x)
  const middleY = average(y)
  const covariance = average(x.map((each, index) => (each - middleX) * ((y[index] ?? middleY) - middleY)))
  const change = (covariance / average(x.map(each => (each - middleX) ** 2))) * TREND_MS
  if (Math.abs(change) < STEADY_C) return Trend.steady
  return change > 0 ? Trend.rising : Trend.falling
}

const average = (values: readonly number[]): number =>
  values.reduce((sum, each) => sum + each, 0) / values.length
