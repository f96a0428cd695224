import type { Chunk } from '../codec/chunk.ts'
import type { Source } from '../contract.ts'

/** A chunk that is to be written. */
export interface NewChunk extends Chunk {
  readonly channel: number
}

/** What the packer found should be done; the service's own connection does it, in one transaction. */
export interface PackingPlan {
  readonly write: readonly NewChunk[]
  /** Chunks whose samples are in those written, or are to go. */
  readonly remove: readonly number[]
}

/** A plan for a part of the work, and where the next part begins; `null` when this was the last. */
export interface PackingStep extends PackingPlan {
  readonly next: Cursor | null
  /** Samples that are in neither place any more. */
  readonly dropped: number
}

/** The channel being worked on, and the place in its index of the last chunk that was looked at. */
export interface Cursor {
  readonly channel: number
  readonly toMs: number
  readonly fromMs: number
  readonly id: number
}

export interface DropQuestion {
  readonly beforeMs: number
  readonly keep: readonly Source[]
  readonly cursor: Cursor
}

export interface RepackQuestion {
  readonly device: string
  readonly cursor: Cursor
}

export const FIRST: Cursor = { channel: 0, toMs: -1, fromMs: -1, id: 0 }
