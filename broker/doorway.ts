import type { Duplex } from 'node:stream'

/**
 * The connections of one port, so many at most. Where all places are taken, whoever has stood longest without saying who they
 * are or what they want makes way for the next: connections that send a byte now and then keep nobody out.
 */
export class Doorway {
  readonly #most: number
  readonly #inside = new Set<Duplex>()
  /** Of those inside, who has not said it yet, longest first. */
  readonly #waiting = new Set<Duplex>()

  constructor(most: number) {
    this.#most = most
  }

  get size(): number {
    return this.#inside.size
  }

  [Symbol.iterator](): Iterator<Duplex> {
    return this.#inside.values()
  }

  /** False when there is no place for it, and nobody who could make way; it is not inside then, and to be ended. */
  enter(stream: Duplex): boolean {
    if (this.#inside.size >= this.#most) {
      const [longest] = this.#waiting
      if (!longest) return false
      this.#leave(longest)
      longest.destroy()
    }
    this.#inside.add(stream)
    this.#waiting.add(stream)
    stream.once('close', () => this.#leave(stream))
    return true
  }

  /** It has said it, and stays. */
  admit(stream: Duplex): void {
    this.#waiting.delete(stream)
  }

  #leave(stream: Duplex): void {
    this.#inside.delete(stream)
    this.#waiting.delete(stream)
  }
}
