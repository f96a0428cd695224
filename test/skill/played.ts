import type { WaterSample } from '../../broker/hatch/contract.ts'
import type { CystLot } from '../../sim/biology/lot.ts'
import { runVirtual } from '../../sim/virtual.ts'
import { type DrawnVessel, LONGEST_H } from './vessel.ts'

const HOUR_MS = 3_600_000
/** Between readings, and the world's step, s. */
const STEP_S = 120
/** Between looks at the hidden truth. */
const TRUTH_EVERY_S = 360

/** What was really in the vessel at one moment, as shares of all its cysts. */
export interface Hidden {
  readonly atH: number
  readonly nauplii: number
  readonly umbrella: number
  readonly embryos: number
  /** Living nauplii × what energy is left to them. */
  readonly food: number
}

/** One simulated batch: what the device measured, and what nobody could know. */
export interface Played {
  readonly vessel: DrawnVessel
  readonly lot: CystLot
  readonly startedAtMs: number
  readonly samples: readonly WaterSample[]
  readonly hidden: readonly Hidden[]
  readonly t90Ms: number
  /** When there really was most usable food. */
  readonly bestMs: number
}

export function playBatch(vessel: DrawnVessel, lot: CystLot, startedAtMs: number, seed: number): Played {
  const samples: WaterSample[] = []
  const hidden: Hidden[] = []
  // Slow lots in cool water need longest; at the end all that will hatch have hatched.
  const hours = Math.min(
    LONGEST_H,
    1.45 * lot.medianH * (14 / Math.max(vessel.scenario.lampHoldsC - 12, 6)) + 14,
  )
  const { t90H } = runVirtual(vessel.scenario, {
    hours,
    seed,
    stepS: STEP_S,
    lot,
    probeOffsetC: vessel.probeOffsetC,
    onSample: ({ atS, waterC, truth }) => {
      const atH = atS / 3600
      const { silent } = vessel
      if (silent === null || atH < silent.fromH || atH > silent.toH) {
        samples.push({ atMs: startedAtMs + atS * 1000, waterC })
      }
      if (atS % TRUTH_EVERY_S !== 0) return
      const { sample, dry, hydrated, broken, umbrella, instarI, instarII, energyLeft } = truth().census
      const nauplii = (instarI + instarII) / sample
      hidden.push({
        atH,
        nauplii,
        umbrella: umbrella / sample,
        embryos: (dry + hydrated + broken) / sample,
        food: nauplii * (energyLeft ?? 0),
      })
    },
  })
  if (t90H === null) throw new Error(`Cannot score the batch: nothing hatched in ${hours} h (seed ${seed})`)
  const best = hidden.reduce((a, b) => (b.food > a.food ? b : a))
  return {
    vessel,
    lot,
    startedAtMs,
    samples,
    hidden,
    t90Ms: startedAtMs + t90H * HOUR_MS,
    bestMs: startedAtMs + best.atH * HOUR_MS,
  }
}

export function hiddenAt({ hidden, startedAtMs }: Played, atMs: number): Hidden {
  const at = Math.round(((atMs - startedAtMs) / HOUR_MS) * (3600 / TRUTH_EVERY_S)) - 1
  const found = hidden[Math.min(Math.max(at, 0), hidden.length - 1)]
  if (!found) throw new Error('Cannot look into the vessel: nothing was played')
  return found
}
