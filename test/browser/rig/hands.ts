import type { Locator, Page } from 'playwright-core'

/**
 * A person's hands, by the keystroke-level model (Card, Moran & Newell 1980, The keystroke-level model for user performance time with
 * interactive systems, Communications of the ACM 23:396, table 1): to make up one's mind 1.35 s, to point at something 1.1 s, a
 * key or a tap on what the finger lies on 0.28 s (an average typist who is no secretary). What the machine takes is measured and added.
 */
const MIND_S = 1.35
const POINT_S = 1.1
const KEY_S = 0.28

export class Hands {
  readonly #page: Page
  #steps = 0
  #seconds = 0
  #machineMs = 0
  #since: number | null = null

  constructor(page: Page) {
    this.#page = page
  }

  begin(): void {
    this.#since = performance.now()
  }
  /** What comes next is not the person's. */
  pause(): void {
    if (this.#since !== null) this.#machineMs += performance.now() - this.#since
    this.#since = null
  }

  async tap(at: Locator): Promise<void> {
    this.#count(MIND_S + POINT_S + KEY_S)
    await at.click()
  }
  /** The same place once more, without looking. */
  async tapAgain(at: Locator): Promise<void> {
    this.#seconds += KEY_S
    await at.click()
  }
  async type(at: Locator, text: string): Promise<void> {
    this.#count(MIND_S + POINT_S + KEY_S * (1 + text.length))
    await at.fill(text)
  }

  /** Steps, a person's seconds, and the machine's; told on standard error, and begun anew. */
  done(what: string): { steps: number; seconds: number; machineSeconds: number } {
    this.pause()
    const told = { steps: this.#steps, seconds: this.#seconds, machineSeconds: this.#machineMs / 1000 }
    const { width } = this.#page.viewportSize() ?? { width: 0 }
    process.stderr.write(
      `${what} at ${width} px: ${told.steps} steps, ${told.seconds.toFixed(0)} s of a person, ${told.machineSeconds.toFixed(1)} s of the machine\n`,
    )
    this.#steps = this.#seconds = this.#machineMs = 0
    return told
  }

  #count(seconds: number): void {
    this.#steps++
    this.#seconds += seconds
  }
}
