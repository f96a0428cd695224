/** Chance that is the same in every run: a linear congruential generator (constants of Numerical Recipes). */
export class Chance {
  #state: number
  constructor(seed: number) {
    this.#state = seed
  }

  /** Between 0 and 1, neither of them. */
  uniform(): number {
    this.#state = (this.#state * 1_664_525 + 1_013_904_223) >>> 0
    return (this.#state + 0.5) / 2 ** 32
  }

  /** Standard normal (Box & Muller). */
  normal(): number {
    return Math.sqrt(-2 * Math.log(this.uniform())) * Math.cos(2 * Math.PI * this.uniform())
  }

  /** A Poisson count; the mean up to 700. */
  poisson(mean: number): number {
    const at = this.uniform()
    let part = Math.exp(-mean)
    let sum = part
    let count = 0
    while (sum < at && count < 10_000) {
      count++
      part *= mean / count
      sum += part
    }
    return count
  }
}
