import type { Random } from '../random.ts'

export interface BackoffSetting {
  readonly firstMs: number
  readonly mostMs: number
}

/** How long to wait before connecting again: doubling, and spread out so that devices do not all come at once. */
export class Backoff {
  #setting: BackoffSetting
  #random: Random
  #tries = 0

  constructor(setting: BackoffSetting, random: Random) {
    this.#setting = setting
    this.#random = random
  }

  /** Between half and all of the doubled wait. */
  nextMs(): number {
    const { firstMs, mostMs } = this.#setting
    const fullMs = Math.min(mostMs, firstMs * 2 ** Math.min(this.#tries++, 30))
    return fullMs * (0.5 + 0.5 * this.#random.uniform())
  }

  /** Something worked. */
  reset(): void {
    this.#tries = 0
  }
}
