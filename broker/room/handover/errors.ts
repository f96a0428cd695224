/** Why a file cannot be brought in, or a batch not be written out. */
export const Refusal = {
  /** It is something else. */
  notOurs: 'not-ours',
  /** A newer version wrote it. */
  newer: 'newer',
  malformed: 'malformed',
  tooLarge: 'too-large',
  /** It is here, from here or from another file. */
  known: 'known',
  /** As many are kept as may be. */
  full: 'full',
  /** Others are under way. */
  busy: 'busy',
} as const
export type Refusal = (typeof Refusal)[keyof typeof Refusal]

export class HandoverError extends Error {
  override readonly name = 'HandoverError'
  readonly refusal: Refusal
  /** Where in the file, as `alarms.3.rule`; `null` where it is all of it. */
  readonly field: string | null
  /** The batch that is here already; `null` where another thing is wrong. */
  readonly batchId: string | null
  constructor(refusal: Refusal, message: string, field: string | null = null, batchId: string | null = null) {
    super(message)
    this.refusal = refusal
    this.field = field
    this.batchId = batchId
  }
}
