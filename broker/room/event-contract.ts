import type { CountEstimate } from '../hatch/counts/estimate.ts'
import type { Observation } from './observations.ts'

/** One sample under the lens. */
export interface CountSample {
  readonly sampleMl: number
  /** How many times the water was diluted before. */
  readonly dilution?: number | undefined
  readonly nauplii: number
  readonly umbrella?: number | undefined
  /** Full cysts that have not hatched. */
  readonly embryos?: number | undefined
}

/** What a person can say of a batch. */
export type BatchEventBody =
  | { readonly kind: 'first-swimmers' }
  | {
      readonly kind: 'count'
      readonly harvest: boolean
      /** All that was drawn off and sampled, ml; left out where the whole vessel was. */
      readonly drawnOffMl?: number | undefined
      readonly samples: readonly CountSample[]
    }
  | { readonly kind: 'note'; readonly text: string }
  | Readonly<Observation>
export type NewBatchEvent = BatchEventBody & {
  readonly atMs?: number
  readonly by: string
  /** The entry that this one corrects: it is taken back with it. */
  readonly replaces?: string
  /** Whoever writes it down was asked whether that can be, and says that it is so. */
  readonly insist?: boolean | undefined
}
/** An entry of a batch's log that may be written, as far as can be told now. */
export interface ReadyEvent {
  readonly id: string
  keep(): Promise<BatchEvent>
}
export type BatchEvent = BatchEventBody & {
  readonly id: string
  readonly batchId: string
  readonly atMs: number
  readonly recordedAtMs: number
  readonly by: string
  readonly withdrawnAtMs: number | null
  /** What a count says of the whole vessel; `null` for what is none, or where it says nothing. */
  readonly estimate: CountEstimate | null
}
