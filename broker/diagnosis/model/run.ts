import type { HarvestGoal } from '../../hatch/contract.ts'
import { developmentRate } from '../../hatch/development/thermal-clock.ts'
import { CYSTS_PER_G } from '../../hatch/lot/lot.ts'
import { quickShare } from '../../hatch/normal.ts'
import { equallyLikely } from '../../hatch/normal.ts'
import { HARMFUL_OXYGEN_MGPL } from '../../hatch/oxygen/minutes-left.ts'
import { DEG_H_PER_HOUR, WORTH, type AgeCurve } from '../../hatch/population/age.ts'
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
const HOT_PACE = developmentRate(30)
/** Usable food is looked at for its best so often, cells. */
const LOOK_CELLS = 3
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

export interface Outcome {
  readonly harvest: Shares
  readonly harvestCell: number
  /** When nine in ten that would hatch are out, hours. */
  readonly t90H: number
  /** At the cells that were asked for. */
  readonly looks: readonly Shares[]
  /** Development at these, °C·h. */
  readonly degH: readonly number[]
  /** Least oxygen, mg/l; `null` where air was taken as plenty. */
  readonly leastOxygenMgpl: number | null
  /** Share that was out when the air was at its least. */
}

/** Plays a batch once: one situation, one draw. `hatchShare` is for its oxygen only. */
export function play(
  situation: Situation,
  climate: Climate,
  draw: Draw,
  goal: HarvestGoal,
  lookCells: readonly number[],
  hatchShare: number,
): Outcome {
  const { water, air, still, cystsGpl, harvestCell } = situation
  const cells = water.length
  const needs = KIND_Z.map(z => Math.exp(draw.lnMedian + draw.sigma * z))
  const need90 = Math.exp(draw.lnMedian + draw.sigma * 1.2816)
  const state = new Living(needs, WORTH[goal])
  const bestWanted = harvestCell === null
  const lastCell = bestWanted ? cells - 1 : Math.max(harvestCell, ...lookCells)
  const looks: Shares[] = []
  const degHs: number[] = []
  let degH = 0
  let t90H = NaN
  let oxygen = climate.saturationMgpl
  let least = oxygen
  let harvest: Shares | null = null
  let best = -1
  let bestCell = 0
  const cystDemand = cystsGpl * CYSTS_MGPGH * draw.demand
  const naupliiDemand = cystsGpl * CYSTS_PER_G * hatchShare * NAUPLIUS_NGPH * 1e-6 * draw.demand
  let nextLook = 0
  const looked = lookCells.map((cell, at) => [cell, at] as const).sort((a, b) => a[0] - b[0])

  for (let cell = 0; cell <= lastCell && cell < cells; cell++) {
    const waterC = water[cell] ?? 0
    let pace = 1
    let suffocates = 0
    if (air !== null) {
      const out = state.hatchedKinds / KINDS
      const demand =
        cystDemand * (1 - out) * (climate.cystPace[cell] ?? 1) +
        naupliiDemand * out * (climate.naupliusPace[cell] ?? 1)
      oxygen = oxygenAfter(
        oxygen,
        climate.saturationMgpl,
        draw.transferPerAir * Math.max(0, air[cell] ?? 0) + draw.surfacePerH,
        demand,
      )
      if (oxygen < least) least = oxygen
      pace = Math.min(1, oxygen / draw.fullPaceMgpl)
      suffocates = Math.max(0, 1 - oxygen / HARMFUL_OXYGEN_MGPL) / draw.suffocatesH
    }
    if (still?.[cell] === 1) pace *= draw.stillPace
    const before = degH
    degH +=
      pace *
      CELL_H *
      (waterC > PAUSES_ABOVE_C && waterC < 40 ? draw.hotPace * HOT_PACE : developmentRate(waterC))
    if (Number.isNaN(t90H) && degH >= need90) {
      t90H = (cell + (need90 - before) / Math.max(degH - before, 1e-9)) * CELL_H
    }
    state.step(
      degH,
      CELL_H * heatPerH(waterC, EMBRYO_HARMED_FROM_C, draw.embryoHourC, draw.heatFoldC),
      CELL_H *
        (heatPerH(waterC, NAUPLIUS_HARMED_FROM_C, draw.embryoHourC - draw.naupliusLowerC, draw.heatFoldC) +
          suffocates),
    )
    for (let look = looked[nextLook]; look && look[0] === cell; look = looked[++nextLook]) {
      looks[look[1]] = state.shares(degH)
      degHs[look[1]] = degH
    }
    if (cell === harvestCell) harvest = state.shares(degH)
    else if (bestWanted && cell % LOOK_CELLS === 0 && state.hatchedKinds > 0) {
      const shares = state.shares(degH)
      if (shares.food > best) {
        best = shares.food
        bestCell = cell
        harvest = shares
      }
    }
  }
  if (Number.isNaN(t90H)) t90H = later(situation, lastCell, need90 - degH)
  return {
    harvest: harvest ?? state.shares(degH),
    harvestCell: harvestCell ?? bestCell,
    t90H,
    looks,
    degH: degHs,
    leastOxygenMgpl: air === null ? null : least,
  }
}

/** With the water as it was in the last hour. */
function later({ water }: Situation, lastCell: number, missingDegH: number): number {
  const rate = Math.max(developmentRate(water[Math.min(lastCell, water.length - 1)] ?? 0), 1e-6)
  return Math.min((lastCell + 1) * CELL_H + missingDegH / rate, (lastCell + 1) * CELL_H + LATEST_H)
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

/** The embryos of all kinds and what has become of them. */
class Living {
  hatchedKinds = 0
  readonly #needs: readonly number[]
  readonly #worth: AgeCurve
  readonly #embryosLeft = new Float64Array(KINDS)
  readonly #doseAtHatch = new Float64Array(KINDS)
  #embryoDose = 0
  #naupliusDose = 0

  constructor(needs: readonly number[], worth: AgeCurve) {
    this.#needs = needs
    this.#worth = worth
  }

  step(degH: number, embryoDose: number, naupliusDose: number): void {
    this.#embryoDose += embryoDose
    while (this.hatchedKinds < KINDS && degH >= (this.#needs[this.hatchedKinds] ?? Infinity)) {
      this.#embryosLeft[this.hatchedKinds] = bears(this.#embryoDose)
      this.#doseAtHatch[this.hatchedKinds] = this.#naupliusDose
      this.hatchedKinds++
    }
    this.#naupliusDose += naupliusDose
  }

  shares(degH: number): Shares {
    let nauplii = 0
    let food = 0
    let emerged = 0
    for (let kind = 0; kind < this.hatchedKinds; kind++) {
      const left = this.#embryosLeft[kind] ?? 0
      const alive = left * bears(this.#naupliusDose - (this.#doseAtHatch[kind] ?? 0))
      emerged += left
      nauplii += alive
      food += alive * worthAt(this.#worth, (degH - (this.#needs[kind] ?? 0)) / DEG_H_PER_HOUR)
    }
    let umbrella = 0
    const living = bears(this.#embryoDose)
    for (let kind = this.hatchedKinds; kind < KINDS; kind++) {
      const done = degH / (this.#needs[kind] ?? Infinity)
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
