import type { Band } from '../contract.ts'
import { plainMinutes } from '../plain-minutes.ts'
import type { OxygenLoad } from './demand.ts'
import { oxygenDemand } from './demand.ts'
import { MOST_SALINITY_GPKG, oxygenSaturation } from './solubility.ts'

/** Water for hatching is asked to hold more than 5 mg/l (FAO Fisheries Technical Paper 361); this is clearly less (own choice), mg/l. */
export const LOW_OXYGEN_MGPL = 4

/** Where harm is feared, mg/l. From memory: no published lethal level was found. */
export const HARMFUL_OXYGEN_MGPL = 2

/**
 * Minutes until the oxygen in the water falls to `levelMgpl` when no more comes in. `p10` is the soonest, at the greatest
 * demand; 0 when it is there already, `Infinity` when nothing takes any.
 *
 * This is the cautious case: mixed water and no exchange at its surface. A still, wide surface brings some oxygen in, which is why
 * nauplii are poured into shallow water when there is no pump; in a tall cone it is little. That respiration slows when
 * oxygen is low is left out: nauplii at 30 ‰ keep theirs about constant over a wide range of oxygen, and less well
 * when warmer or saltier (Varó, Taylor & Amat 1991, Marine Biology, abstract), so to 2 mg/l it would lengthen the time a little.
 * What is not cautious is the beginning: with air that has been weak for a while, the water no longer holds `fromMgpl`.
 *
 * How much oxygen a weak stream of coarse bubbles still brings is left out too: published transfer coefficients are for
 * columns and spargers unlike a cone with an open tube, and differ among themselves.
 *
 * @throws RangeError for levels or demands that are no amount
 */
export function minutesUntil(levelMgpl: number, fromMgpl: number, demandMgplH: Band): Band {
  for (const value of [levelMgpl, fromMgpl, demandMgplH.p10, demandMgplH.p50, demandMgplH.p90]) {
    if (!(value >= 0 && value < Infinity)) {
      throw new RangeError(
        `Cannot reckon minutes of oxygen: levels and demand must be 0 or more, got ${value}`,
      )
    }
  }
  const left = Math.max(fromMgpl - levelMgpl, 0)
  const minutes = (demand: number) => (left === 0 ? 0 : (60 * left) / demand)
  return { p10: minutes(demandMgplH.p90), p50: minutes(demandMgplH.p50), p90: minutes(demandMgplH.p10) }
}

/** How long the oxygen in a vessel lasts once its air is gone, minutes. */
export interface OxygenLeft {
  readonly minutesTo4: Band
  readonly minutesTo2: Band
}

export interface VesselWater extends OxygenLoad {
  /** Beyond 0 to 40 °C the nearest of the two is taken. */
  readonly waterC: number
  /** Up to 120 g/l, above that taken as 120. Taken as g/kg, which at 35 g/l is 2 % more than there is: 0.03 mg/l, on the cautious side. */
  readonly salinityGpl: number
  /** 30 to 110 kPa, from `pressureAtAltitude`; one standard atmosphere when left out. */
  readonly pressureKpa?: number
}

/**
 * How long the oxygen lasts from full, in the cautious case of {@link minutesUntil}.
 *
 * @throws RangeError for what is no amount
 */
export function oxygenLeft(water: VesselWater): OxygenLeft {
  const { salinityGpl, pressureKpa } = water
  const waterC = Math.min(Math.max(water.waterC, 0), 40)
  const full = oxygenSaturation({
    waterC,
    salinityGpkg: Math.min(salinityGpl, MOST_SALINITY_GPKG),
    ...(pressureKpa === undefined ? {} : { pressureKpa }),
  })
  const demand = oxygenDemand(water, waterC)
  return {
    minutesTo4: minutesUntil(LOW_OXYGEN_MGPL, full, demand),
    minutesTo2: minutesUntil(HARMFUL_OXYGEN_MGPL, full, demand),
  }
}

/**
 * The one figure that is told of it, minutes until harm is feared: with nauplii the soonest that is likely, before them the middle. A
 * plain figure, so that a text and what counts down beside it begin with the same. `null` where nothing takes any.
 */
export function oxygenLasts({ minutesTo2 }: OxygenLeft, nauplii: boolean): number | null {
  const minutes = nauplii ? minutesTo2.p10 : minutesTo2.p50
  if (!Number.isFinite(minutes)) return null
  return minutes < 1 ? minutes : plainMinutes(minutes)
}
