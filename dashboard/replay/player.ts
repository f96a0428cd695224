import type { ReactiveController, ReactiveControllerHost } from 'lit'

/** How much of the batch's time passes in a second. */
export const SPEEDS = [
  { times: 60, words: '1 min/s' },
  { times: 600, words: '10 min/s' },
  { times: 1800, words: '30 min/s' },
  { times: 7200, words: '2 h/s' },
] as const
export const USUAL_TIMES = 600

/** Where motion is not wanted, a playing batch goes on in steps of this length, ms. */
const CALM_STEP_MS = 1000
/** A page that was hidden does not leap when it comes back, ms. */
const LONGEST_FRAME_MS = 250

/** Lets a batch's time pass: a step a frame, or a step a second where motion is not wanted. */
export class Player implements ReactiveController {
  playing = false
  times: number = USUAL_TIMES
  readonly #host: ReactiveControllerHost
  /** Takes so much of the batch's time, ms; false when there is none left. */
  readonly #pass: (ms: number) => boolean
  readonly #calm = matchMedia('(prefers-reduced-motion: reduce)')
  #lastMs = 0
  #frame = 0

  constructor(host: ReactiveControllerHost, pass: (ms: number) => boolean) {
    this.#host = host
    this.#pass = pass
    host.addController(this)
  }
  hostDisconnected(): void {
    this.pause()
  }

  play(): void {
    if (this.playing) return
    this.playing = true
    this.#lastMs = performance.now()
    this.#frame = requestAnimationFrame(this.#step)
    this.#host.requestUpdate()
  }
  pause(): void {
    if (!this.playing) return
    this.playing = false
    cancelAnimationFrame(this.#frame)
    this.#host.requestUpdate()
  }

  readonly #step = (nowMs: number): void => {
    if (!this.playing) return
    this.#frame = requestAnimationFrame(this.#step)
    const passedMs = nowMs - this.#lastMs
    if (this.#calm.matches && passedMs < CALM_STEP_MS) return
    this.#lastMs = nowMs
    const realMs = this.#calm.matches ? CALM_STEP_MS : Math.min(LONGEST_FRAME_MS, Math.max(0, passedMs))
    if (!this.#pass(realMs * this.times)) this.pause()
  }
}
