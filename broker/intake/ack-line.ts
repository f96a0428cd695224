/** Lets one message be acknowledged, or, with an error, ends the connection without it. */
export type Release = (error: Error | null) => void

interface Waiting {
  release: Release
  kept: boolean
}

/**
 * The messages of one client that wait for their acknowledgement. They are released in the order in which they came
 * (MQTT 3.1.1 clause 4.6.0-2), whatever the order in which they were kept.
 *
 * Once one could not be kept, no later one is acknowledged: after a pause all are released with the error, which ends the
 * connection, and the device sends them again.
 */
export class AckLine {
  #waiting: Waiting[] = []
  #head = 0
  #failed = false
  readonly #pause: (end: () => void) => void

  /** @param pause calls `end` after a while. */
  constructor(pause: (end: () => void) => void) {
    this.#pause = pause
  }

  /** Takes a place in the line; the returned function says what became of the message. */
  enter(release: Release): (error: Error | null) => void {
    const place: Waiting = { release, kept: false }
    this.#waiting.push(place)
    return error => {
      if (this.#failed) return
      if (error !== null) this.#fail(error)
      else {
        place.kept = true
        this.#advance()
      }
    }
  }

  #advance(): void {
    const waiting = this.#waiting
    while (this.#head < waiting.length && waiting[this.#head]!.kept) {
      const { release } = waiting[this.#head]!
      this.#head++
      release(null)
    }
    if (this.#head === waiting.length) {
      this.#waiting.length = 0
      this.#head = 0
    }
  }

  #fail(error: Error): void {
    this.#failed = true
    this.#pause(() => {
      const left = this.#waiting.slice(this.#head)
      this.#waiting = []
      for (const { release } of left) release(error)
    })
  }
}
