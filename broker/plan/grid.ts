import { wallClock } from './local-time.ts'

/** The moments at which a person may be asked to start or harvest. */
export interface Grid {
  readonly stepMin: number
  readonly awake: (atMs: number) => boolean
  /** Those while the person is up, rising. */
  readonly awakes: readonly number[]
  /** The last one up to a moment; `undefined` when there is none from now on. */
  anyBy(atMs: number): number | undefined
  awakeBy(atMs: number): number | undefined
  /** The first one from a moment on. */
  awakeFrom(atMs: number): number | undefined
}

export function gridOf(parts: {
  fromMs: number
  untilMs: number
  zone: string
  stepMin: number
  awake: (atMs: number) => boolean
}): Grid {
  const { fromMs, untilMs, zone, stepMin, awake } = parts
  const step = stepMin * 60_000
  // Round times of the wall clock; where the zone is off by odd minutes they are round there.
  const odd = wallClock(Math.ceil(fromMs / 1000) * 1000, zone) - Math.ceil(fromMs / 1000) * 1000
  const all: number[] = []
  for (let at = Math.ceil((fromMs + odd) / step) * step - odd; at <= untilMs; at += step) all.push(at)
  const awakes = all.filter(awake)
  return {
    stepMin,
    awake,
    awakes,
    anyBy: atMs => all[countTo(all, atMs) - 1],
    awakeBy: atMs => awakes[countTo(awakes, atMs) - 1],
    awakeFrom: atMs => awakes[countTo(awakes, atMs - 1)],
  }
}

/** How many of rising numbers are up to one. */
function countTo(rising: readonly number[], most: number): number {
  let low = 0
  let high = rising.length
  while (low < high) {
    const middle = (low + high) >>> 1
    if ((rising[middle] ?? Infinity) <= most) low = middle + 1
    else high = middle
  }
  return low
}
