/** A quantity that is moved to a new value at a given hour, at once or over some time. */
export interface Turn {
  readonly atH: number
  readonly to: number
  /** Hours that the way there takes; straight. At once when left out. */
  readonly overH?: number
}

/** The value at hour `h` of a quantity that starts at `start` and takes these turns, given in rising order. */
export function courseAt(start: number, turns: readonly Turn[], h: number): number {
  let value = start
  for (const [index, { atH, to, overH = 0 }] of turns.entries()) {
    if (h < atH) break
    const next = turns[index + 1]?.atH ?? Infinity
    const done = overH > 0 ? Math.min(1, (Math.min(h, next) - atH) / overH) : 1
    value += (to - value) * done
  }
  return value
}
