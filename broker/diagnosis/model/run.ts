import type { HarvestGoal } from '../../hatch/contract.ts'
import { developmentRate } from '../../hatch/development/thermal-clock.ts'
import { CYSTS_PER_G } from '../../hatch/lot/lot.ts'
import { equallyLikely, quickShare } from '../../hatch/normal.ts'
import { HARMFUL_OXYGEN_MGPL } from '../../hatch/oxygen/minutes-left.ts'
import { DEG_H_PER_HOUR, WORTH, type AgeCurve } from '../../hatch/population/age.ts'
import { windowOf } from '../../hatch/population/harvest-window.ts'
import { UMBRELLA_FROM } from '../../hatch/population/stages.ts'
import { CELL_H } from '../record/grid.ts'
import { CYSTS_MGPGH, type Draw, NAUPLIUS_NGPH } from './draws.ts'
import type { Climate, Situation } from './situation.ts'

/** Embryos are followed in so many equally likely kinds, from the earliest to the latest. */
const KINDS = 32
const KIND_Z = equallyLikely(KINDS)
/** Animals differ in what they bear, ln scale. Own choice. */
const BEARS_SIGMA = 0.4
const EMBRYO_HARMED_FROM_C = 33
const NAUPLIUS_HARMED_FROM_C = 32
const PAUSES_ABOVE_C = 33
/** Air that keeps cysts afloat, l/min per litre: half of what the rules call lost. Own choice. */
const SUSPENDS = 0.025
const HOT_PACE = developmentRate(30)
/** Development after the record's end goes on for so long at most, h; then it will not come. */
export const LATEST_H = 60

/** Where a batch stands at one moment, as shares of the cysts that could have hatched as it was set up. */
export interface Shares {
  /** Swimming. */
  readonly nauplii: number
  readonly umbrella: number
  /** Out of the shell at all, the dead among them. */
  readonly emerged: number
  /** The living, each weighed by what it is worth. */
  readonly food: number
}

/** How a batch went. */
export interface Course {
  /** When there would be most usable food if none had died, a cell: it is drawn off by its stage, not by what lives. */
  readonly bestCell: number
  /** When nine in ten that would hatch are out, hours. */
  readonly t90H: number
  /** Least oxygen, mg/l; `null` where air was taken as plenty. */
  readonly leastOxygenMgpl: number | null
  /** Development by the end of a cell, °C·h. */
  degHAt(cell: number): number
  sharesAt(cell: number): Shares
}

/** Plays a batch once: one situation, one draw. `hatchShare` is for its oxygen only. */
export function play(
  situation: Situation,
  climate: Climate,
  draw: Draw,
  goal: HarvestGoal,
  hatchShare: number,
): Course {
  const { water, air, still, cystsGpl } = situation
  const cells = water.length
  const needs = KIND_Z.map(z => Math.exp(draw.lnMedian + draw.sigma * z))
  const hatchedIn = new Int32Array(KINDS).fill(cells)
  const developed = new Float64Array(cells)
  const embryoDoses = new Float64Array(cells)
  const naupliusDoses = new Float64Array(cells)
  const cystDemand = cystsGpl * CYSTS_MGPGH * draw.demand
  const naupliiDemand = cystsGpl * CYSTS_PER_G * hatchShare * NAUPLIUS_NGPH * 1e-6 * draw.demand
  const naupliusHourC = draw.embryoHourC - draw.naupliusLowerC
  let degH = 0
  let oxygen = climate.saturationMgpl
  let least = oxygen
  let hatched = 0
  let embryoDose = 0
  let naupliusDose = 0
  for (let cell = 0; cell < cells; cell++) {
    const waterC = water[cell] ?? 0
    let pace = 1
    if (air !== null) {
      const vvm = Math.max(0, air[cell] ?? 0)
      const out = hatched / KINDS
      const demand =
        cystDemand * (1 - out) * (climate.cystPace[cell] ?? 1) +
        naupliiDemand * out * (climate.naupliusPace[cell] ?? 1)
      const transfer = draw.transferPerAir * vvm + draw.surfacePerH
      oxygen = oxygenAfter(oxygen, climate.saturationMgpl, transfer, demand)
      if (oxygen < least) least = oxygen
      pace = Math.min(1, oxygen / draw.fullPaceMgpl)
      naupliusDose += (CELL_H * Math.max(0, 1 - oxygen / HARMFUL_OXYGEN_MGPL)) / draw.suffocatesH
      // Without air cysts sink, and lie in a heap that uses up what oxygen there is around it.
      if (vvm < SUSPENDS) pace *= draw.stillPace
    }
    if (still?.[cell] === 1) pace *= draw.stillPace
    degH += pace * CELL_H * paceAt(waterC, draw)
    developed[cell] = degH
    embryoDose += CELL_H * heatPerH(waterC, EMBRYO_HARMED_FROM_C, draw.embryoHourC, draw.heatFoldC)
    naupliusDose += CELL_H * heatPerH(waterC, NAUPLIUS_HARMED_FROM_C, naupliusHourC, draw.heatFoldC)
    embryoDoses[cell] = embryoDose
    naupliusDoses[cell] = naupliusDose
    while (hatched < KINDS && degH >= (needs[hatched] ?? Infinity)) hatchedIn[hatched++] = cell
  }
  const need90 = Math.exp(draw.lnMedian + draw.sigma * Z_NINE_IN_TEN)
  // Where development comes to rest before its best, its last step is as good as it gets.
  const best = Math.min(bestDegH(draw, goal), degH * (1 - 1e-9))
  return {
    bestCell: firstReaching(developed, best),
    t90H: reachedH(developed, need90, water[cells - 1] ?? 0),
    leastOxygenMgpl: air === null ? null : least,
    degHAt: cell => developed[within(cell, cells)] ?? 0,
    sharesAt(at) {
      const cell = within(at, cells)
      return sharesOf(needs, hatchedIn, cell, developed, embryoDoses, naupliusDoses, WORTH[goal])
    },
  }
}

const Z_NINE_IN_TEN = 1.2816

const bestOf = new WeakMap<Draw, Map<HarvestGoal, number>>()

/** The development at which there is most usable food, °C·h; kept beside the draw, as it is asked for in every run. */
export function bestDegH(draw: Draw, goal: HarvestGoal): number {
  const known = bestOf.get(draw) ?? new Map<HarvestGoal, number>()
  bestOf.set(draw, known)
  const found =
    known.get(goal) ??
    windowOf(
      {
        lnMedian: draw.lnMedian,
        sigma: draw.sigma,
        meanDegH: Math.exp(draw.lnMedian + (draw.sigma * draw.sigma) / 2),
      },
      goal,
    ).bestDegH
  known.set(goal, found)
  return found
}

function within(cell: number, cells: number): number {
  return Math.min(Math.max(Math.round(cell), 0), cells - 1)
}

function firstReaching(rising: Float64Array, value: number): number {
  let low = 0
  let high = rising.length - 1
  while (low < high) {
    const half = (low + high) >>> 1
    if ((rising[half] ?? Infinity) < value) low = half + 1
    else high = half
  }
  return low
}

/** When a development is reached, h; beyond the columns with the water as it is at their end. */
function reachedH(developed: Float64Array, need: number, lastC: number): number {
  const cells = developed.length
  const end = developed[cells - 1] ?? 0
  if (end < need) {
    const rate = Math.max(developmentRate(lastC), 1e-6)
    return cells * CELL_H + Math.min((need - end) / rate, LATEST_H)
  }
  const cell = firstReaching(developed, need)
  const before = developed[cell - 1] ?? 0
  return (cell + (need - before) / Math.max((developed[cell] ?? 0) - before, 1e-9)) * CELL_H
}

function paceAt(waterC: number, draw: Draw): number {
  return waterC > PAUSES_ABOVE_C && waterC < 40 ? draw.hotPace * HOT_PACE : developmentRate(waterC)
}

/** Share of a lethal dose in an hour: 1 kills half. */
function heatPerH(waterC: number, fromC: number, hourC: number, foldC: number): number {
  return waterC > fromC ? Math.exp((waterC - hourC) / foldC) : 0
}

/** Oxygen after a cell of steady transfer and demand, mg/l: the exact way to their balance, and never below nothing. */
function oxygenAfter(oxygen: number, saturation: number, transferPerH: number, demand: number): number {
  const balance = saturation - demand / transferPerH
  return Math.max(0, balance + (oxygen - balance) * Math.exp(-transferPerH * CELL_H))
}

function sharesOf(
  needs: readonly number[],
  hatchedIn: Int32Array,
  cell: number,
  developed: Float64Array,
  embryoDoses: Float64Array,
  naupliusDoses: Float64Array,
  worth: AgeCurve,
): Shares {
  const degH = developed[cell] ?? 0
  const dose = naupliusDoses[cell] ?? 0
  let nauplii = 0
  let food = 0
  let emerged = 0
  let umbrella = 0
  let kind = 0
  for (; kind < KINDS && (hatchedIn[kind] ?? Infinity) <= cell; kind++) {
    const hatched = hatchedIn[kind] ?? 0
    const left = bears(embryoDoses[hatched] ?? 0)
    const alive = left * bears(dose - (naupliusDoses[hatched] ?? 0))
    emerged += left
    nauplii += alive
    food += alive * worthAt(worth, (degH - (needs[kind] ?? 0)) / DEG_H_PER_HOUR)
  }
  const living = bears(embryoDoses[cell] ?? 0)
  for (; kind < KINDS; kind++) {
    const done = degH / (needs[kind] ?? Infinity)
    if (done < UMBRELLA_FROM[0]) break
    for (const from of UMBRELLA_FROM) if (done >= from) umbrella += living / UMBRELLA_FROM.length
  }
  return {
    nauplii: nauplii / KINDS,
    umbrella: umbrella / KINDS,
    emerged: (emerged + umbrella) / KINDS,
    food: food / KINDS,
  }
}

/** Share that outlives a dose, of which 1 kills half. */
function bears(dose: number): number {
  return dose > 0.01 ? 1 - quickShare(Math.log(dose) / BEARS_SIGMA) : 1
}

function worthAt(curve: AgeCurve, ageH: number): number {
  let [fromH, from] = curve[0] ?? [0, 1]
  for (let at = 1; at < curve.length; at++) {
    const [toH, to] = curve[at] ?? [0, 0]
    if (ageH < toH) return from + ((to - from) * Math.max(0, ageH - fromH)) / (toH - fromH)
    fromH = toH
    from = to
  }
  return from
}
