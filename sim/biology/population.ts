import type { Random } from '../random.ts'
import { heatDosePerH, oxygenPace, suffocationDosePerH } from './death.ts'
import {
  HATCHING_C,
  INSTAR_I_LOSS_PER_H,
  INSTAR_II_LOSS_PER_H,
  MOULT_AFTER_H,
  MOULT_COST,
  STARVED_BELOW,
} from './energy.ts'
import type { CystLot } from './lot.ts'
import { BREAKS_AT, CauseOfDeath, CystStage, UMBRELLA_AT } from './stage.ts'
import { developmentPace, metabolicPace } from './temperature-response.ts'

/** What the animals feel at one place during one step. */
export interface Surroundings {
  readonly waterC: number
  readonly oxygenMgpl: number
}

/** Light at the surface that counts as full, lx (Lavens & Sorgeloos 1996, FAO Fisheries Technical Paper 361). */
const FULL_LIGHT_LX = 2000
/** Light counts in the first hours after soaking only: 6 h or less trigger all (J. Crustacean Biol., 10.1163/1937240x-00002454). */
const LIGHT_WINDOW_H = 6
/** Share that hatches without any light; assumed. */
const DARK_SHARE = 0.3

export interface PopulationSetting {
  readonly lot: CystLot
  /** Share that salt and crowding leave, 0 to 1. */
  readonly conditionShare: number
  /** How many cysts are followed one by one; they stand for the whole dose. */
  readonly sample: number
}

/** How many of the sample are what. */
export interface Census {
  readonly sample: number
  readonly dry: number
  readonly hydrated: number
  readonly broken: number
  readonly umbrella: number
  readonly instarI: number
  readonly instarII: number
  readonly deadOfHeat: number
  readonly deadOfOxygen: number
  readonly starved: number
  /** Ever hatched, the dead included. */
  readonly hatchedEver: number
  /** Mean of the living nauplii, share of the energy at hatching; null when there are none. */
  readonly energyLeft: number | null
}

/** Single cysts, each with its own needs, in one water. Time is hours since they were poured in. */
export class Population {
  readonly size: number
  /** Hour at which each hatched; NaN for those that have not. */
  readonly hatchedAtH: Float64Array
  /** Living ones that have soaked and not hatched, and living ones that have hatched. */
  breathingCysts = 0
  breathingNauplii = 0
  #hours = 0
  #lightH = 0
  #stage: Uint8Array
  #death: Uint8Array
  #viable: Uint8Array
  #requirementH: Float64Array
  #developedH: Float64Array
  #soakH: Float64Array
  #lightNeedH: Float64Array
  #moultH: Float64Array
  #larvalH: Float64Array
  #energy: Float64Array
  #heatTolerance: Float64Array
  #heatDose: Float64Array
  #airTolerance: Float64Array
  #airDose: Float64Array

  constructor({ lot, conditionShare, sample }: PopulationSetting, random: Random) {
    if (!Number.isInteger(sample) || sample < 1) {
      throw new RangeError(`Cannot follow cysts: the sample must be a whole number from 1, got ${sample}`)
    }
    const column = (value: (index: number) => number) =>
      Float64Array.from({ length: sample }, (_, i) => value(i))
    this.size = sample
    this.hatchedAtH = column(() => NaN)
    this.#stage = new Uint8Array(sample)
    this.#death = new Uint8Array(sample)
    const hatchable = lot.viableShare * conditionShare
    this.#viable = Uint8Array.from({ length: sample }, () => (random.uniform() < hatchable ? 1 : 0))
    this.#requirementH = column(() => lot.medianH * Math.exp(lot.spread * random.normal()))
    this.#developedH = column(() => 0)
    // Soaking takes 1 to 2 h (New 2002, FAO Fisheries Technical Paper 428, Annex 4).
    this.#soakH = column(() => 1 + random.uniform())
    this.#lightNeedH = column(() =>
      random.uniform() < DARK_SHARE ? 0 : Math.min(LIGHT_WINDOW_H - 0.5, Math.exp(0.6 * random.normal())),
    )
    this.#moultH = column(() => MOULT_AFTER_H * Math.exp(0.15 * random.normal()))
    this.#larvalH = column(() => 0)
    this.#energy = column(() => 1)
    this.#heatTolerance = column(() => Math.exp(0.3 * random.normal()))
    this.#heatDose = column(() => 0)
    this.#airTolerance = column(() => Math.exp(0.3 * random.normal()))
    this.#airDose = column(() => 0)
  }

  /**
   * Lets `stepS` seconds pass. Cysts sink where nothing stirs and nauplii swim, so each has its own surroundings.
   */
  step(stepS: number, encysted: Surroundings, hatched: Surroundings, lightLx: number): void {
    const stepH = stepS / 3600
    const pace = developmentPace(encysted.waterC) * oxygenPace(encysted.oxygenMgpl) * stepH
    const embryoHeat = heatDosePerH(encysted.waterC, false) * stepH
    const larva = {
      grownH: (developmentPace(hatched.waterC) / developmentPace(HATCHING_C)) * stepH,
      burntH: metabolicPace(hatched.waterC, HATCHING_C) * stepH,
      heat: heatDosePerH(hatched.waterC, true) * stepH,
      air: suffocationDosePerH(hatched.oxygenMgpl) * stepH,
    }
    const before = this.#hours
    this.#hours += stepH
    if (before >= 1 && before < 1 + LIGHT_WINDOW_H) {
      this.#lightH += Math.min(1, Math.max(0, lightLx) / FULL_LIGHT_LX) * stepH
    }
    const windowShut = this.#hours >= 1 + LIGHT_WINDOW_H
    for (let i = 0; i < this.size; i++) {
      if (this.#death[i] !== CauseOfDeath.none) continue
      if (this.#stage[i]! >= CystStage.instarI) this.#live(i, larva)
      else this.#develop(i, before, stepH, pace, embryoHeat, windowShut)
    }
  }

  #develop(i: number, before: number, stepH: number, pace: number, heat: number, windowShut: boolean): void {
    const soakedH = this.#hours - this.#soakH[i]!
    if (soakedH < 0) return
    if (this.#stage[i] === CystStage.dry) {
      this.#stage[i] = CystStage.hydrated
      this.breathingCysts++
    }
    this.#heatDose[i]! += heat
    if (this.#heatDose[i]! > this.#heatTolerance[i]!) {
      this.#death[i] = CauseOfDeath.heat
      this.breathingCysts--
      return
    }
    if (this.#viable[i] === 0 || (windowShut && this.#lightH < this.#lightNeedH[i]!)) return
    const already = this.#developedH[i]!
    const grown = pace * Math.min(1, soakedH / stepH)
    const now = already + grown
    const need = this.#requirementH[i]!
    this.#developedH[i] = now
    if (now >= need) {
      this.#stage[i] = CystStage.instarI
      this.breathingCysts--
      this.breathingNauplii++
      this.hatchedAtH[i] = before + stepH * (1 - (now - need) / grown)
      // Embryos survive what kills a nauplius: its own exposure begins here.
      this.#heatDose[i] = 0
    } else if (now >= need * UMBRELLA_AT) this.#stage[i] = CystStage.umbrella
    else if (now >= need * BREAKS_AT) this.#stage[i] = CystStage.broken
  }

  #live(i: number, larva: { grownH: number; burntH: number; heat: number; air: number }): void {
    this.#heatDose[i]! += larva.heat
    this.#airDose[i]! += larva.air
    if (this.#heatDose[i]! > this.#heatTolerance[i]!) return this.#lose(i, CauseOfDeath.heat)
    if (this.#airDose[i]! > this.#airTolerance[i]!) return this.#lose(i, CauseOfDeath.oxygen)
    this.#larvalH[i]! += larva.grownH
    const moulted = this.#stage[i] === CystStage.instarII
    this.#energy[i]! -= (moulted ? INSTAR_II_LOSS_PER_H : INSTAR_I_LOSS_PER_H) * larva.burntH
    if (!moulted && this.#larvalH[i]! >= this.#moultH[i]!) {
      this.#stage[i] = CystStage.instarII
      this.#energy[i]! -= MOULT_COST
    }
    if (this.#energy[i]! < STARVED_BELOW) this.#lose(i, CauseOfDeath.starved)
  }

  #lose(i: number, cause: CauseOfDeath): void {
    this.#death[i] = cause
    this.breathingNauplii--
  }

  census(): Census {
    const stages = [0, 0, 0, 0, 0, 0]
    const deaths = [0, 0, 0, 0]
    let hatchedEver = 0
    let energy = 0
    for (let i = 0; i < this.size; i++) {
      const stage = this.#stage[i]!
      const death = this.#death[i]!
      if (stage >= CystStage.instarI) hatchedEver++
      deaths[death]!++
      if (death !== CauseOfDeath.none) continue
      stages[stage]!++
      if (stage >= CystStage.instarI) energy += this.#energy[i]!
    }
    const nauplii = stages[CystStage.instarI]! + stages[CystStage.instarII]!
    return {
      sample: this.size,
      dry: stages[CystStage.dry]!,
      hydrated: stages[CystStage.hydrated]!,
      broken: stages[CystStage.broken]!,
      umbrella: stages[CystStage.umbrella]!,
      instarI: stages[CystStage.instarI]!,
      instarII: stages[CystStage.instarII]!,
      deadOfHeat: deaths[CauseOfDeath.heat]!,
      deadOfOxygen: deaths[CauseOfDeath.oxygen]!,
      starved: deaths[CauseOfDeath.starved]!,
      hatchedEver,
      energyLeft: nauplii > 0 ? energy / nauplii : null,
    }
  }

  /** Hour by which `share` of all that have hatched so far had hatched; null while none has. */
  hatchHour(share: number): number | null {
    const hours = [...this.hatchedAtH].filter(hour => !Number.isNaN(hour)).sort((a, b) => a - b)
    return hours[Math.max(0, Math.ceil(share * hours.length) - 1)] ?? null
  }
}
