/** Asks for a moment of the batch, Unix ms. */
export class MomentEvent extends Event {
  readonly atMs: number
  constructor(atMs: number) {
    super('bw-moment', { bubbles: true, composed: true })
    this.atMs = atMs
  }
}
