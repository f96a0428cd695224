/** Whether somebody still watches, told from when the broker last acknowledged a pack of measurements: nothing else counts. */
export class Hearing {
  #heardAtMs: number
  #hushed = false

  /** @param poweredAtMs By the device's own clock, as all times here: silence counts from the power-up on. */
  constructor(poweredAtMs: number) {
    this.#heardAtMs = poweredAtMs
  }

  /** A PUBACK for a pack. */
  heard(nowMs: number): void {
    this.#heardAtMs = nowMs
    this.#hushed = false
  }

  /** The button at the device: quiet until the broker was heard, and falls silent, again. */
  hush(minutes: number, nowMs: number): void {
    this.#hushed = this.silent(minutes, nowMs)
  }

  /** Whether nobody was heard for so long; never when `minutes` is 0. */
  silent(minutes: number, nowMs: number): boolean {
    return minutes > 0 && nowMs - this.#heardAtMs >= minutes * 60_000
  }

  sounds(minutes: number, nowMs: number): boolean {
    return this.silent(minutes, nowMs) && !this.#hushed
  }
}
