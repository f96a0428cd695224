/** What is drawn behind and over the line; values in the unit that is plotted, times in Unix ms. */
export interface Backdrop {
  readonly nowMs: number
  readonly limits: readonly {
    readonly value: number
    readonly side: 'above' | 'below'
    readonly name: string
    /** Where it held, Unix ms; everywhere when left out. */
    readonly fromMs?: number
    readonly toMs?: number
  }[]
  /** What the water is expected to do, from now on; columns of equal length. */
  readonly ahead: Ahead | null
  /** Where the line would cross a limit, with what it may be; `lateMs` null is perhaps never. */
  readonly crossing: {
    readonly value: number
    readonly earlyMs: number
    readonly atMs: number
    readonly lateMs: number | null
  } | null
  readonly harvest: { readonly fromMs: number; readonly untilMs: number } | null
}

export interface Ahead {
  readonly t: readonly number[]
  readonly low: readonly number[]
  readonly middle: readonly number[]
  readonly high: readonly number[]
}

export const NO_BACKDROP: Backdrop = { nowMs: 0, limits: [], ahead: null, crossing: null, harvest: null }
