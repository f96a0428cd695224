import { CauseKind } from '../contract.ts'
import { CELL_H, filled } from '../record/grid.ts'
import type { BatchRecord } from '../record/record.ts'
import type { Layers } from '../suspects/layers.ts'
import { lowestPH, salinityOf } from '../suspects/set-up.ts'
import type { Case } from '../suspects/suspect.ts'
import { SLOWER_BELOW_C } from '../suspects/water.ts'
import { mostCystsGpl } from '../../hatch/recipe/cysts.ts'
import { USUAL_SALINITY_GPL } from '../../hatch/recipe/usual.ts'
import { fullLightHours, type Situation } from './situation.ts'

/** After the record the batch is followed for so long, to see when its harvest would have been best, h. */
const ON_H = 20
/** What too hot and too cool water is put right to, °C: the ends of the trade's working range (common practice, no source). */
const RIGHT_COOL_C = 26.7
const RIGHT_HOT_C = 27.8
/** Air that a vessel is given where only its failures are known, l/min per litre. */
const PLENTY = 0.5

/** How the batch was kept, and how it would have been without some causes. */
export interface Kept {
  /** With just these causes, and none of the others. */
  with(causes: ReadonlySet<CauseKind>): Situation
}

export function keptAs(of: Case, layers: Layers | null): Kept {
  const { input, record } = of
  const { batch, altitudeM, limits } = input
  const cells = record.grid.cells + Math.round(ON_H / CELL_H)
  const shown = onwards(record.waterFilled, cells)
  const air = airOf(record, cells)
  const still = layers && Uint8Array.from({ length: cells }, (_, cell) => layers.still[cell] ?? 0)
  const cystsGpl = batch.cystsG / batch.litres
  const salinity = salinityOf(of).gpl
  const pH = lowestPH(of)?.pH ?? null
  const light = fullLightHours(record.light)
  return {
    with(causes) {
      const has = (kind: CauseKind) => causes.has(kind)
      return {
        litres: batch.litres,
        cystsGpl: has(CauseKind.tooDense) ? cystsGpl : Math.min(cystsGpl, mostCystsGpl(batch.litres)),
        salinityGpl: has(CauseKind.salinityOff)
          ? salinity
          : salinity >= 20 && salinity <= 35
            ? salinity
            : USUAL_SALINITY_GPL,
        pH: has(CauseKind.phOff) ? pH : null,
        lightH: has(CauseKind.dark) ? light.hours : null,
        water: shown.map(value => {
          let waterC = value
          if (waterC > limits.tooHotC && !has(CauseKind.tooHot)) waterC = RIGHT_HOT_C
          if (waterC < SLOWER_BELOW_C && !has(CauseKind.tooCool)) waterC = RIGHT_COOL_C
          return waterC
        }),
        air: has(CauseKind.airLost) ? air : null,
        still: has(CauseKind.stratified) ? still : null,
        altitudeM,
      }
    },
  }
}

/** Continued with the mean of its last hour. */
function onwards(values: Float64Array, cells: number): Float64Array {
  const out = new Float64Array(cells)
  out.set(values)
  const last = values.slice(-Math.round(1 / CELL_H))
  out.fill(last.reduce((sum, one) => sum + one, 0) / Math.max(last.length, 1), values.length)
  return out
}

/** Measured air; what was not measured, and what comes after, is taken as what the vessel usually got. */
function airOf({ air }: BatchRecord, cells: number): Float64Array | null {
  const whole = filled(air)
  if (whole === null) return null
  const usual = Float64Array.from(whole).sort()[Math.floor(0.75 * whole.length)] ?? PLENTY
  const out = new Float64Array(cells).fill(usual)
  out.set(whole)
  return out
}
