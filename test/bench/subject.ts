/** What a measured value has to keep to. */
export type Bar = { readonly atLeast: number } | { readonly atMost: number } | { readonly below: number }

/** One measured thing, as a line of the table. */
export interface Figure {
  readonly name: string
  /** The middle one of the repeats. */
  readonly value: number
  readonly unit: string
  /** Without one the figure only explains the others. */
  readonly bar?: Bar
  /** Least and greatest of the repeats. */
  readonly spread?: readonly [least: number, greatest: number]
  readonly note?: string
}

export interface Settings {
  /** Short runs that show whether it works; their figures are no evidence. */
  readonly quick: boolean
  readonly repeats: number
  /** How long memory is watched. */
  readonly minutes: number
  /** Where V8 profiles of the measured program go; `null` takes none. */
  readonly profileDir: string | null
  readonly say: (line: string) => void
}

export interface Subject {
  readonly name: string
  readonly measure: (settings: Settings) => Promise<Figure[]>
}

export function isMissed({ value, bar }: Figure): boolean {
  if (bar === undefined) return false
  if ('atLeast' in bar) return !(value >= bar.atLeast)
  return 'atMost' in bar ? !(value <= bar.atMost) : !(value < bar.below)
}
