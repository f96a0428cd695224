/** How each of the batches that are drawn over each other looks: no two share both ink and dash, and each has its number. */
export interface LineMark {
  /** A custom property. */
  readonly ink: string
  /** Lengths of strokes and gaps, px; empty for a whole line. */
  readonly dash: readonly number[]
}

const INKS = ['--ink', '--nauplii', '--air', '--warm'] as const
const DASHES: readonly (readonly number[])[] = [[], [9, 5], [2, 4], [12, 4, 2, 4]]

/** More lines than this cannot be told apart. */
export const MOST_DRAWN = 8

/** By the place among those that are drawn: of the first four each has an ink and a dash of its own. */
export function lineMark(place: number): LineMark {
  const round = Math.floor(place / INKS.length)
  return {
    ink: INKS[place % INKS.length] ?? '--ink',
    dash: DASHES[(place + round) % DASHES.length] ?? [],
  }
}
