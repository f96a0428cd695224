import { HOUR_MS } from '../../hatch/units.ts'
import { FOLLOWED_C } from '../../rules/light-out.ts'

/** Water that has not followed the light for so long does not hang on it, ms: the lamp is no heater. Own choice. */
const UNRELATED_MS = 2 * HOUR_MS
/** What the water was when the light went out is the mean of so long before, ms. */
const BEFORE_MS = 5 * 60_000

/** Readings that come faster tell no more, ms. */
const READ_EVERY_MS = 10_000

/** Watches whether the water follows the light down: then the lamp is the heater. */
export class DarkWatch {
  /** Whether the lamp is the heater, from what was seen; `null` while nothing was. Kept by whoever keeps the vessel. */
  heats: boolean | null = null
  #dark: { sinceMs: number; fromC: number; lowestC: number } | null = null
  #readAtMs = -Infinity
  #recent: { atMs: number; waterC: number }[] = []

  /** A good reading of the water. True when {@link dark} or {@link heats} has changed so that a rule may decide otherwise. */
  takeWater(atMs: number, waterC: number): boolean {
    if (atMs >= this.#readAtMs + READ_EVERY_MS) {
      this.#readAtMs = atMs
      this.#recent.push({ atMs, waterC })
      while ((this.#recent[0]?.atMs ?? Infinity) < atMs - BEFORE_MS) this.#recent.shift()
    }
    const dark = this.#dark
    if (dark === null) return false
    const before = dark.fromC - dark.lowestC
    // Single readings scatter: the mean of the last minutes is what the water is.
    dark.lowestC = Math.min(dark.lowestC, mean(this.#recent))
    const fellC = dark.fromC - dark.lowestC
    if (fellC >= FOLLOWED_C && atMs - dark.sinceMs <= UNRELATED_MS) {
      this.heats = true
      return before < FOLLOWED_C || Math.floor(before) !== Math.floor(fellC)
    }
    if (atMs - dark.sinceMs > UNRELATED_MS && before < FOLLOWED_C && this.heats === null) {
      this.heats = false
      return true
    }
    return false
  }

  /** A good reading of the light, and below what it is held dark. True as above. */
  takeLight(atMs: number, lightLx: number, limitLx: number, deadbandLx: number): boolean {
    if (lightLx >= limitLx + deadbandLx) {
      const was = this.#dark !== null
      this.#dark = null
      return was
    }
    if (lightLx >= limitLx || this.#dark !== null || this.#recent.length === 0) return false
    const fromC = mean(this.#recent)
    this.#dark = { sinceMs: atMs, fromC, lowestC: fromC }
    return false
  }

  get dark(): { readonly sinceMs: number; readonly fellC: number } | null {
    const dark = this.#dark
    if (dark === null) return null
    const fellC = dark.fromC - dark.lowestC
    // What falls long after has another cause.
    return this.heats === true || fellC < FOLLOWED_C ? { sinceMs: dark.sinceMs, fellC } : null
  }
}

function mean(recent: readonly { waterC: number }[]): number {
  return recent.reduce((sum, { waterC }) => sum + waterC, 0) / recent.length
}
