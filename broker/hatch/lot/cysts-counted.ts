import type { Band } from '../contract.ts'
import { DOSE_LN_SD } from './alone.ts'
import { SAMPLING_SD } from './counted.ts'
import type { BatchEvidence, LotObservation } from './evidence.ts'
import { CYSTS_PER_G, CYSTS_PER_G_LN_SD, cystsPerGBand } from './lot.ts'

/**
 * How many full cysts a gram of a lot holds, from counts in which all stages were counted: a normal belief on the ln scale that
 * each batch sharpens by what its dose and samples are worth.
 */
export class CystsCounted {
  #precision = 1 / CYSTS_PER_G_LN_SD ** 2
  #mean = Math.log(CYSTS_PER_G)

  take({ cystsG, litres }: BatchEvidence, items: readonly LotObservation[]): void {
    let counted = 0
    let sampledG = 0
    for (const item of items) {
      if (item.kind !== 'count' || item.embryos === null || !(item.sampledMl > 0)) continue
      counted += item.nauplii + (item.umbrella ?? 0) + item.embryos
      sampledG += (cystsG * item.sampledMl) / (1000 * litres)
    }
    if (!(counted > 0 && sampledG > 0)) return
    const precision = 1 / (DOSE_LN_SD ** 2 + SAMPLING_SD ** 2 + 1 / counted)
    // A tenfold slip in a volume must not be taken for a property of cysts.
    const seen = Math.log(counted / sampledG)
    if (Math.abs(seen - Math.log(CYSTS_PER_G)) > 0.7) return
    this.#mean = (this.#mean * this.#precision + seen * precision) / (this.#precision + precision)
    this.#precision += precision
  }

  get band(): Band {
    return cystsPerGBand(this.#mean, 1 / Math.sqrt(this.#precision))
  }
}
