import { pressureAtAltitude } from '../../hatch/oxygen/air-pressure.ts'
import { respirationPace } from '../../hatch/oxygen/demand.ts'
import { MOST_SALINITY_GPKG, oxygenSaturation } from '../../hatch/oxygen/solubility.ts'
import { mostCystsGpl } from '../../hatch/recipe/cysts.ts'
import { CELL_H } from '../record/grid.ts'
import type { Draw } from './draws.ts'

/** How a batch was kept, with some of its causes and without the others. Columns have a cell each, and go on after the harvest. */
export interface Situation {
  readonly litres: number
  readonly cystsGpl: number
  readonly salinityGpl: number
  /** `null` where it was not measured: then it is taken as right. */
  readonly pH: number | null
  /** Hours of full light within the first hours; `null` where it is taken as enough. */
  readonly lightH: number | null
  readonly water: Float64Array
  /** l/min for each litre; `null` where it is taken as plenty. */
  readonly air: Float64Array | null
  /** 1 where the lower water stood still; `null` for nowhere. */
  readonly still: Uint8Array | null
  readonly altitudeM: number
}

/** What of a situation is the same for every draw. */
export interface Climate {
  readonly saturationMgpl: number
  /** Respiration of cysts and nauplii against where it was measured, a cell each. */
  readonly cystPace: Float64Array
  readonly naupliusPace: Float64Array
}

export function climateOf({ water, salinityGpl, altitudeM }: Situation): Climate {
  const mean = water.reduce((sum, one) => sum + one, 0) / Math.max(water.length, 1)
  return {
    saturationMgpl: oxygenSaturation({
      waterC: Math.min(Math.max(mean, 0), 40),
      salinityGpkg: Math.min(salinityGpl, MOST_SALINITY_GPKG),
      pressureKpa: pressureAtAltitude(altitudeM),
    }),
    cystPace: water.map(waterC => respirationPace(waterC, 25, 25).p50),
    naupliusPace: water.map(waterC => respirationPace(waterC, 25, 30).p50),
  }
}

/** Share that salt lets hatch: the plateau of 20 to 35 g/l, falling in straight lines to where a source has a figure. */
export function saltShare(salinityGpl: number, draw: Draw): number {
  if (salinityGpl < 20) {
    // Below 5 g/l no source says anything: the same line goes on.
    return Math.max(0, 1 - ((1 - draw.atFiveGpl) * (20 - salinityGpl)) / 15)
  }
  if (salinityGpl <= 35) return 1
  return Math.max(0, 1 - (salinityGpl - 35) / (draw.saltEndGpl - 35)) ** draw.saltPower
}

export function crowdShare(litres: number, cystsGpl: number, draw: Draw): number {
  const over = Math.max(0, cystsGpl - mostCystsGpl(litres))
  return Math.exp(-draw.crowdedPerGpl * over)
}

export function pHShare(pH: number | null, draw: Draw): number {
  return pH === null ? 1 : Math.max(0, 1 - draw.lostPerPH * Math.max(0, 8 - pH))
}

export function lightShare(lightH: number | null, draw: Draw): number {
  if (lightH === null) return 1
  return draw.darkShare + (1 - draw.darkShare) * Math.min(1, lightH / draw.lightNeedH)
}

/** Share of the lot's hatching cysts that the way it was set up leaves. */
export function setUpShare(situation: Situation, draw: Draw): number {
  const { salinityGpl, litres, cystsGpl, pH, lightH } = situation
  return (
    saltShare(salinityGpl, draw) *
    crowdShare(litres, cystsGpl, draw) *
    pHShare(pH, draw) *
    lightShare(lightH, draw)
  )
}

/** Hydrated after an hour or two (FAO 428, Annex 4); light counts from there, for so long (J. Crustacean Biology 10.1163/1937240x-00002454). */
export const LIGHT_FROM_H = 1
export const LIGHT_FOR_H = 6
/** At the surface in the first hours after hydration (after Lavens & Sorgeloos 1996, FAO 361), lx. */
export const FULL_LIGHT_LX = 2000

/** Hours of full light in the first hours; dimmer light counts by its share. NaN cells count as their neighbours' mean does. */
export function fullLightHours(light: Float64Array): { readonly hours: number; readonly seenH: number } {
  let hours = 0
  let seen = 0
  const from = Math.round(LIGHT_FROM_H / CELL_H)
  for (let cell = from; cell < Math.min(light.length, from + LIGHT_FOR_H / CELL_H); cell++) {
    const lx = light[cell] ?? NaN
    if (Number.isNaN(lx)) continue
    hours += CELL_H * Math.min(1, Math.max(0, lx) / FULL_LIGHT_LX)
    seen += CELL_H
  }
  return { hours: seen > 0 ? (hours * LIGHT_FOR_H) / seen : 0, seenH: seen }
}
