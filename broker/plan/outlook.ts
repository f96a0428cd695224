import { bandOf } from '../hatch/band.ts'
import type { Band, HarvestGoal, LotBelief } from '../hatch/contract.ts'
import { developmentRate } from '../hatch/development/thermal-clock.ts'
import { needsOf } from '../hatch/lot/cases.ts'
import { naupliiPerGBand } from '../hatch/lot/lot.ts'
import { DEG_H_PER_HOUR, WORTH } from '../hatch/population/age.ts'
import { type Embryos, hatchedOf, hatchedSoFarOf } from '../hatch/population/population.ts'
import { stageShares, weighedByAge } from '../hatch/population/stages.ts'
import type { AfterBest, Outlook } from './contract.ts'

/** Hours are told to the half: a plan starts at round times, and vessels that differ by less are as good as each other. */
const ROUND_H = 0.5
/** So much of a vessel's usual temperature is not known beforehand, °C to either side for the outer tenths. Own choice. */
const WATER_BAND_C = 0.7
/** What a batch is worth past its best is reckoned for so long, h: longer than nauplii are planned to be fed. Own choice. */
const AFTER_BEST_H = 48

/**
 * What a batch of a lot does in water of a usual temperature, from the hatch model; `null` where such water hatches nothing. Ready is
 * where usable food is at its best.
 */
export function outlookOf(
  lot: LotBelief,
  goal: HarvestGoal,
  waterC: number,
): Pick<Outlook, 'readyH' | 'ageH' | 'ageing' | 'naupliiPerG' | 'afterBest'> | null {
  const rate = developmentRate(waterC)
  if (rate <= 0) return null
  const needs = needsOf(lot, goal)
  const best = bandOf(needs.bestDegH)
  const rates = { cool: developmentRate(waterC - WATER_BAND_C), warm: developmentRate(waterC + WATER_BAND_C) }
  const middleH = best.p50 / rate
  // Lot and water are doubted independently, so the distances add up in squares.
  const apart = (degH: number, other: number) => Math.hypot(degH / rate - middleH, best.p50 / other - middleH)
  const readyH: Band = {
    p10: rounded(middleH - apart(best.p10, Math.max(rates.warm, rate))),
    p50: rounded(middleH),
    p90: rounded(middleH + apart(best.p90, rates.cool > 0 ? rates.cool : rate)),
  }
  const middle = needs.embryos[needs.embryos.length >> 1]
  if (!middle) return null
  const hatched = hatchedOf(middle, best.p50)
  return {
    readyH,
    ageH: hatched > 0 ? hatchedSoFarOf(middle, best.p50) / hatched / DEG_H_PER_HOUR : 0,
    ageing: rate / DEG_H_PER_HOUR,
    naupliiPerG: naupliiPerGBand(lot).p50 * hatched,
    afterBest: afterBest(middle, goal, best.p50, rate),
  }
}

function afterBest(embryos: Embryos, goal: HarvestGoal, bestDegH: number, rate: number): AfterBest {
  const hours = Array.from({ length: AFTER_BEST_H + 1 }, (_, h) => bestDegH + h * rate)
  const foodAt = (degH: number) => weighedByAge(embryos, WORTH[goal], degH)
  const best = foodAt(bestDegH)
  return {
    energy: hours.map(degH => stageShares(embryos, degH).energyLeft),
    food: hours.map(degH => (best > 0 ? Math.min(1, Math.max(0, foodAt(degH)) / best) : 0)),
  }
}

const rounded = (hours: number): number => Math.max(ROUND_H, Math.round(hours / ROUND_H) * ROUND_H)
