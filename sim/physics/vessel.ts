import { evaporationGps } from './evaporation.ts'
import { bubbleTransferPerH, oxygenAfter, oxygenSaturationMgpl, SURFACE_TRANSFER_PER_H } from './oxygen.ts'
import { heatCapacityJplC, LATENT_HEAT_JPG } from './water.ts'

/** Share of the water that lies in the upper layer of a cone. */
export const TOP_SHARE = 0.6
/** Share of the lamp's heat that the upper layer takes: lamps stand above or beside the wide part. */
export const LAMP_TOP_SHARE = 0.8

/**
 * Heat that leaves one litre's wall and surface for each °C above the room, W. Assumed: a plain one-litre plastic bottle in
 * still air then cools with a time constant of 1.5 h, a two-litre one with 1.9 h, as such bottles do.
 */
const LOSS_WPC_1L = 0.76

/** How fast a temperature difference between the layers fades with bubbles, per second for each vvm; assumed. */
const MIXING_PER_S_VVM = 0.1
/** The same in still water under a warm upper layer: 1.25 h; assumed. */
const STILL_MIXING_PER_S = 1 / 4500
/** Water that is warmer below turns over by itself; assumed. */
const TURNOVER_PER_S = 1 / 60
/** What clings to a vessel that ran empty; assumed. */
const FILM_SHARE = 0.01
/** Physics never takes a longer step than this, s. */
const LONGEST_STEP_S = 10

/** Wall loss of a vessel, W for each °C; grows with its surface. */
export function lossWpC(litres: number): number {
  return LOSS_WPC_1L * litres ** (2 / 3)
}

export interface VesselSetting {
  readonly litres: number
  readonly salinityGpl: number
  readonly startC: number
}

/** What works on the vessel from outside and inside during one step. */
export interface VesselDrive {
  readonly roomC: number
  /** 0 to 1; 1 stops evaporation at equal temperature. */
  readonly humidity: number
  /** Heat of the lamp that the water takes, W. */
  readonly lampW: number
  readonly airLpm: number
  /** What of it comes from the tip of the cone; all of it when left out. */
  readonly deepAirLpm?: number
  /** What the animals in each layer would take from plenty of oxygen, mg/h. */
  readonly topDemandMgph: number
  readonly bottomDemandMgph: number
  /** A sealed lid: no evaporation. */
  readonly sealed?: boolean
}

/** Where the heat went since the start, J. */
export interface HeatLedger {
  readonly lampJ: number
  readonly lostJ: number
  readonly evaporationJ: number
}

/** The water of one vessel: two layers, each well mixed, that bubbles stir into one. */
export class VesselWater {
  topC: number
  bottomC: number
  topOxygenMgpl: number
  bottomOxygenMgpl: number
  /** Litres of water now, and grams of salt in it. */
  litres: number
  saltG: number
  #lampJ = 0
  #lostJ = 0
  #evaporationJ = 0
  /** Wall and surface of the vessel as filled; what evaporates does not change them. */
  #lossWpC: number
  #filledLitres: number
  #filledSaltG: number

  constructor({ litres, salinityGpl, startC }: VesselSetting) {
    if (!(litres > 0)) throw new RangeError(`Cannot fill the vessel: litres must be above 0, got ${litres}`)
    this.litres = litres
    this.saltG = litres * salinityGpl
    this.topC = startC
    this.bottomC = startC
    this.topOxygenMgpl = oxygenSaturationMgpl(startC, salinityGpl)
    this.bottomOxygenMgpl = this.topOxygenMgpl
    this.#filledLitres = litres
    this.#filledSaltG = this.saltG
    this.#lossWpC = lossWpC(litres)
  }

  get salinityGpl(): number {
    return this.saltG / this.litres
  }

  get meanC(): number {
    return this.topC * TOP_SHARE + this.bottomC * (1 - TOP_SHARE)
  }

  /** Heat capacity of all the water, J per °C. */
  get heatCapacityJpC(): number {
    return this.litres * heatCapacityJplC(this.salinityGpl)
  }

  get ledger(): HeatLedger {
    return { lampJ: this.#lampJ, lostJ: this.#lostJ, evaporationJ: this.#evaporationJ }
  }

  /** Of what was filled in, how much is there. */
  get fullShare(): number {
    return this.litres / this.#filledLitres
  }

  /** Of what was ever in the water, salt and animals, how much has not run out with it. */
  get keptShare(): number {
    return this.saltG / this.#filledSaltG
  }

  /** Water runs out below, with its salt; a film of it stays. */
  drain(litres: number): void {
    const left = Math.max(this.#filledLitres * FILM_SHARE, this.litres - litres)
    if (left >= this.litres) return
    this.saltG *= left / this.litres
    this.litres = left
  }

  /** Lets `stepS` seconds pass under a drive that stays the same. */
  step(stepS: number, drive: VesselDrive): void {
    const parts = Math.max(1, Math.ceil(stepS / LONGEST_STEP_S))
    for (let part = 0; part < parts; part++) this.#shortStep(stepS / parts, drive)
  }

  #shortStep(stepS: number, drive: VesselDrive): void {
    const capacity = this.heatCapacityJpC
    this.topC = this.#warmed(this.topC, TOP_SHARE, LAMP_TOP_SHARE, capacity, stepS, drive)
    this.bottomC = this.#warmed(this.bottomC, 1 - TOP_SHARE, 1 - LAMP_TOP_SHARE, capacity, stepS, drive)
    if (drive.sealed !== true) this.#evaporate(stepS, capacity, drive)
    this.#breathe(stepS / 3600, drive)
    this.#mix(stepS, drive.deepAirLpm ?? drive.airLpm)
  }

  /** A layer under constant heat and loss nears its balance exponentially: solved exactly, booked by difference. */
  #warmed(
    layerC: number,
    share: number,
    lampShare: number,
    capacityJpC: number,
    stepS: number,
    drive: VesselDrive,
  ): number {
    const lossW = this.#lossWpC * share
    const lampW = drive.lampW * lampShare
    const balanceC = drive.roomC + lampW / lossW
    const nextC = balanceC + (layerC - balanceC) * Math.exp((-lossW * stepS) / (capacityJpC * share))
    this.#lampJ += lampW * stepS
    this.#lostJ += lampW * stepS - capacityJpC * share * (nextC - layerC)
    return nextC
  }

  #evaporate(stepS: number, capacityJpC: number, drive: VesselDrive): void {
    const grams =
      stepS * evaporationGps(this.topC, drive.roomC, drive.humidity, drive.airLpm, this.#filledLitres)
    const heatJ = grams * LATENT_HEAT_JPG
    this.topC -= heatJ / (capacityJpC * TOP_SHARE)
    this.#evaporationJ += heatJ
    // Never boils dry: somebody tops it up at a tenth. What ran out below stays out.
    const least = Math.min(this.litres, this.#filledLitres / 10)
    this.litres = Math.max(least, this.litres - grams / 1000)
  }

  #breathe(stepH: number, drive: VesselDrive): void {
    const transfer = bubbleTransferPerH(drive.airLpm / this.litres)
    const deepTransfer = bubbleTransferPerH((drive.deepAirLpm ?? drive.airLpm) / this.litres)
    const saltiness = this.salinityGpl
    this.topOxygenMgpl = oxygenAfter(
      this.topOxygenMgpl,
      oxygenSaturationMgpl(this.topC, saltiness),
      transfer + SURFACE_TRANSFER_PER_H / TOP_SHARE,
      drive.topDemandMgph / (this.litres * TOP_SHARE),
      stepH,
    )
    this.bottomOxygenMgpl = oxygenAfter(
      this.bottomOxygenMgpl,
      oxygenSaturationMgpl(this.bottomC, saltiness),
      deepTransfer,
      drive.bottomDemandMgph / (this.litres * (1 - TOP_SHARE)),
      stepH,
    )
  }

  #mix(stepS: number, airLpm: number): void {
    const still = this.bottomC > this.topC + 0.02 ? TURNOVER_PER_S : STILL_MIXING_PER_S
    const perS = still + MIXING_PER_S_VVM * Math.max(0, airLpm / this.litres)
    const kept = Math.exp(-perS * stepS)
    const together = (top: number, bottom: number) => top * TOP_SHARE + bottom * (1 - TOP_SHARE)
    const meanC = together(this.topC, this.bottomC)
    const meanOxygen = together(this.topOxygenMgpl, this.bottomOxygenMgpl)
    this.topC = meanC + (this.topC - meanC) * kept
    this.bottomC = meanC + (this.bottomC - meanC) * kept
    this.topOxygenMgpl = meanOxygen + (this.topOxygenMgpl - meanOxygen) * kept
    this.bottomOxygenMgpl = meanOxygen + (this.bottomOxygenMgpl - meanOxygen) * kept
  }
}
