/** Too many wait already. */
export class GateFullError extends Error {
  override readonly name = 'GateFullError'
}

/**
 * Lets a few pieces of work run side by side and the next ones wait: checking a password costs a tenth of a second of a
 * core on purpose, and a fish room's worth of devices comes back at once after a power cut.
 */
export class Gate {
  readonly #sideBySide: number
  readonly #mayWait: number
  readonly #waiting: (() => void)[] = []
  #running = 0

  constructor(sideBySide: number, mayWait: number) {
    this.#sideBySide = sideBySide
    this.#mayWait = mayWait
  }

  /** @throws GateFullError when more wait than may. */
  async run<Result>(work: () => Promise<Result>): Promise<Result> {
    if (this.#running < this.#sideBySide) this.#running++
    else {
      if (this.#waiting.length >= this.#mayWait)
        throw new GateFullError(`Cannot take more: ${this.#mayWait} wait already`)
      // The one that ends hands its place on.
      await new Promise<void>(resolve => this.#waiting.push(resolve))
    }
    try {
      return await work()
    } finally {
      const next = this.#waiting.shift()
      if (next) next()
      else this.#running--
    }
  }
}
