import type { HarvestGoal, LotBelief, LotCase } from '../contract.ts'
import { equallyLikely } from '../normal.ts'
import { type HarvestWindow, windowOf } from '../population/harvest-window.ts'
import { likelyWindow } from '../population/likely-window.ts'
import { type Embryos, embryosOf, requirementOf } from '../population/population.ts'
import { lotMedianAt } from './lot.ts'

/** Into so many equally likely cases a belief is cut. */
export const LOT_CASES = 61

const LOT_Z = equallyLikely(LOT_CASES)

/** What all cases of a lot need, °C·h: one entry a case. */
export interface Needs {
  readonly embryos: readonly Embryos[]
  readonly t10DegH: readonly number[]
  readonly t90DegH: readonly number[]
  /** Where each case's usable food would be best. */
  readonly bestDegH: readonly number[]
  /** Where it is likely to be worth harvesting, over all cases. */
  readonly window: Pick<HarvestWindow, 'fromDegH' | 'untilDegH'>
}

// A belief does not change while a batch is forecast again and again, so what its cases need is kept beside it.
const kept = new WeakMap<LotBelief, Map<HarvestGoal, Needs>>()

export function needsOf(lot: LotBelief, goal: HarvestGoal): Needs {
  const ofLot = kept.get(lot) ?? new Map<HarvestGoal, Needs>()
  kept.set(lot, ofLot)
  const needs = ofLot.get(goal) ?? reckonNeeds(casesOf(lot), goal)
  ofLot.set(goal, needs)
  return needs
}

/** The equally likely cases of a belief. */
export function casesOf(lot: LotBelief): readonly LotCase[] {
  if (lot.cases && lot.cases.length > 0) return lot.cases
  return LOT_Z.map(z => ({ medianDegH: lotMedianAt(lot, z), spread: lot.spread }))
}

function reckonNeeds(cases: readonly LotCase[], goal: HarvestGoal): Needs {
  const embryos = cases.map(embryosOf)
  const windows = embryos.map(one => windowOf(one, goal))
  return {
    embryos,
    t10DegH: cases.map(one => requirementOf(one, 0.1)),
    t90DegH: cases.map(one => requirementOf(one, 0.9)),
    bestDegH: windows.map(window => window.bestDegH),
    window: likelyWindow(windows),
  }
}
