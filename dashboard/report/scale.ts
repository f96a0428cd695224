/** Where values stand on paper. */
export interface Panel {
  readonly top: number
  readonly high: number
  readonly low: number
  readonly most: number
}

export const yIn = ({ top, high, low, most }: Panel, value: number): number =>
  top + high * (1 - (Math.min(most, Math.max(low, value)) - low) / (most - low))

/** The way of a line over its points, broken where there is a gap. */
export function wayOf(
  t: readonly number[],
  values: readonly (number | null | undefined)[],
  x: (atMs: number) => number,
  y: (value: number) => number,
  gapMs = Infinity,
): string {
  let way = ''
  let beforeMs = -Infinity
  let drawing = false
  for (const [at, atMs] of t.entries()) {
    const value = values[at]
    if (value === null || value === undefined) {
      drawing = false
      continue
    }
    way += `${drawing && atMs - beforeMs <= gapMs ? 'L' : 'M'}${x(atMs).toFixed(1)} ${y(value).toFixed(1)}`
    drawing = true
    beforeMs = atMs
  }
  return way
}

/** A band between two lines, as one shape. */
export function bandOf(
  t: readonly number[],
  low: readonly (number | null)[],
  high: readonly (number | null)[],
  x: (atMs: number) => number,
  y: (value: number) => number,
): string {
  const there = t.flatMap((atMs, at) => {
    const [from, to] = [low[at], high[at]]
    return from === null || from === undefined || to === null || to === undefined ? [] : [{ atMs, from, to }]
  })
  if (there.length < 2) return ''
  const point = (atMs: number, value: number) => `${x(atMs).toFixed(1)} ${y(value).toFixed(1)}`
  const up = there.map(({ atMs, to }) => point(atMs, to))
  const down = there.map(({ atMs, from }) => point(atMs, from)).reverse()
  return `M${[...up, ...down].join('L')}Z`
}

const HOUR_MS = 3_600_000
/** Hours between the marks of the axis. */
const STEPS_H = [1, 2, 3, 4, 6, 12, 24, 48, 96]

/** The whole hours after the start at which the axis is marked. */
export function hourMarks(spanMs: number, most = 12): number[] {
  const hours = spanMs / HOUR_MS
  const step = STEPS_H.find(each => hours / each <= most) ?? 96
  return Array.from({ length: Math.floor(hours / step) + 1 }, (_, at) => at * step)
}
