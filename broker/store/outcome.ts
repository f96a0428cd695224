import type { StoreErrorCode } from './contract.ts'

export interface Failure {
  readonly code: StoreErrorCode
  readonly message: string
}

/** What became of a group. */
export interface Outcome {
  /** Nothing of it is on disk. `null` when it is. */
  readonly failure: Failure | null
  /** What each piece of work answered; those that were refused by themselves are told of in `refused`. */
  readonly answers: readonly unknown[]
  readonly refused: readonly (Failure & { readonly index: number })[]
}
