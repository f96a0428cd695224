import type { LotBelief } from '../../hatch/contract.ts'
import { casesOf } from '../../hatch/lot/cases.ts'
import { CYST_DEMAND_MGPGH, NAUPLIUS_DEMAND_NGPH } from '../../hatch/oxygen/demand.ts'
import { lnSpread } from '../../hatch/population/population.ts'
import { normalQuantile } from '../../hatch/normal.ts'

/**
 * One way that the lot, and everything of which no source gives a figure, may be. A diagnosis looks at many, lets the counts weigh them,
 * and says what a cause cost as a band over them.
 */
export interface Draw {
  /** ln of the median requirement, °C·h, and the ln-scale spread of single embryos. */
  readonly lnMedian: number
  readonly sigma: number
  /** Pace above 33 °C, as a share of the pace at 30 °C. */
  readonly hotPace: number
  /** At which an hour kills half of the embryos, °C; of the nauplii so much lower; and over how many °C the hours grow e-fold. */
  readonly embryoHourC: number
  readonly naupliusLowerC: number
  readonly heatFoldC: number
  /** Hours without any oxygen that kill half of the nauplii. */
  readonly suffocatesH: number
  /** Below it embryos wait in part, mg/l. */
  readonly fullPaceMgpl: number
  /** How fast the air brings oxygen in, per hour for each l/min per litre; and the still surface, per hour. */
  readonly transferPerAir: number
  readonly surfacePerH: number
  /** Of what cysts and nauplii take at the middle. */
  readonly demand: number
  /** Shares that hatch: at 5 g/l of salt; how salt above 35 g/l bends down, to nothing where. */
  readonly atFiveGpl: number
  readonly saltPower: number
  readonly saltEndGpl: number
  /** Lost for each g/l of cysts too many, and for each unit of pH below 8. */
  readonly crowdedPerGpl: number
  readonly lostPerPH: number
  /** Share that hatches without light, and the hours of full light that all need. */
  readonly darkShare: number
  readonly lightNeedH: number
  /** Pace of cysts that lie heaped at the bottom, without air or below still water, as a share of those afloat. */
  readonly stillPace: number
}

/**
 * Bounds of what is drawn, evenly unless said otherwise. Where there is a source it is given; where there is none the bounds are wide on
 * purpose and are our own: a count narrows them for the batch at hand.
 *
 * - hotPace: FAO Fisheries Technical Paper 428, Annex 4 has development interrupted above about 33 °C; "about", so up to 0.3.
 * - embryoHourC: mortality above 40 °C (the same); another handbook calls the stop above 33 °C irreversible. Nothing is harmed below 33.
 * - naupliusLowerC: no source. A. franciscana hatched well at 32 °C, so nothing is harmed below that.
 * - heatFoldC, suffocatesH (ratio scale), fullPaceMgpl, stillPace: no source. 2 mg/l as the beginning of harm is from memory.
 * - transferPerAir (ratio scale): no source for a cone. A litre of air a minute carries 16.7 g of oxygen an hour; of coarse bubbles some 2 % of
 *   it dissolve per metre of depth (from memory), 0.3 to 1 % in 15 to 50 cm: 7 to 24 an hour at 7 mg/l, and twice to either side.
 * - surfacePerH: no source; a still surface of a cone brings little.
 * - atFiveGpl: 33.0 against 67.0 % (Suneetha, Padmavathi & Chatla, Acta Biologica Turcica); no effect in another population
 *   (Eslava-Eljaiek et al. 2011). saltEndGpl: cysts cannot take up water above 85-90 g/l (after FAO 361). Between 35 and there: no source.
 * - crowdedPerGpl, lostPerPH, darkShare: the handbook (after FAO 361) and J. Crustacean Biology 10.1163/1937240x-00002454 say fewer, no figure.
 * - lightNeedH (ratio scale): 6 h or less trigger hatching fully (the latter).
 */
const BOUNDS = {
  hotPace: [0, 0.3],
  embryoHourC: [35.5, 42],
  naupliusLowerC: [0, 3],
  heatFoldC: [0.8, 2.5],
  suffocatesH: [0.25, 3],
  fullPaceMgpl: [1, 4],
  transferPerAir: [4, 48],
  surfacePerH: [0.02, 0.5],
  demand: [
    NAUPLIUS_DEMAND_NGPH.p10 / NAUPLIUS_DEMAND_NGPH.p50,
    NAUPLIUS_DEMAND_NGPH.p90 / NAUPLIUS_DEMAND_NGPH.p50,
  ],
  atFiveGpl: [0.49, 1],
  saltPower: [0.6, 1.8],
  saltEndGpl: [85, 90],
  crowdedPerGpl: [0.02, 0.12],
  lostPerPH: [0.1, 0.8],
  darkShare: [0.05, 0.85],
  lightNeedH: [0.7, 6],
  stillPace: [0, 0.7],
} as const satisfies Partial<Record<keyof Draw, readonly [number, number]>>
const BY_RATIO: ReadonlySet<string> = new Set(['suffocatesH', 'transferPerAir', 'lightNeedH', 'demand'])

/** What this batch's requirement differs by from what is reckoned, ln scale: another hot or cool pace, the soak. Own choice. */
const PACE_LN_SD = 0.03

const NAMES = Object.keys(BOUNDS) as (keyof typeof BOUNDS)[]

/**
 * Draws that fill the space of all bounds evenly, always the same ones: a Kronecker sequence on the roots of the generalised golden ratio
 * (Roberts 2018, from memory; any low-discrepancy sequence would do).
 */
export function drawsFor(lot: LotBelief, count: number): Draw[] {
  const cases = casesOf(lot)
  const dimensions = NAMES.length + 2
  const root = generalisedGolden(dimensions)
  const place = (at: number, dimension: number) => (0.5 + (at + 1) * root ** -(dimension + 1)) % 1
  return Array.from({ length: count }, (_, at) => {
    const drawn = Object.fromEntries(
      NAMES.map((name, dimension) => {
        const [low, high] = BOUNDS[name]
        const share = place(at, dimension)
        const value = BY_RATIO.has(name) ? low * (high / low) ** share : low + (high - low) * share
        return [name, value]
      }),
    ) as Record<keyof typeof BOUNDS, number>
    const one = cases[Math.floor(place(at, NAMES.length) * cases.length)] ?? lot
    const aside = PACE_LN_SD * normalQuantile(place(at, NAMES.length + 1))
    return { ...drawn, lnMedian: Math.log(one.medianDegH) + aside, sigma: lnSpread(one.spread) }
  })
}

/** The positive root of x^(d+1) = x + 1. */
function generalisedGolden(dimensions: number): number {
  let x = 1.5
  for (let i = 0; i < 60; i++) x = (1 + x) ** (1 / (dimensions + 1))
  return x
}

export const CYSTS_MGPGH = CYST_DEMAND_MGPGH.p50
export const NAUPLIUS_NGPH = NAUPLIUS_DEMAND_NGPH.p50
