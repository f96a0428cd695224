import type { HarvestGoal } from '../contract.ts'
import type { Population } from './population.ts'
import { hatchedShare, hatchedSoFar, requirementOf } from './population.ts'

/** Where the harvest begins, is best and ends, as development, °C·h above the threshold. */
export interface HarvestWindow {
  readonly fromDegH: number
  readonly bestDegH: number
  readonly untilDegH: number
}

/** The window holds while usable food is at least this share of its best. */
export const WORTH_HARVESTING = 0.95

/**
 * Nauplii age in degree-hours too, so that cool water keeps them young. Published ages are hours "at hatching temperature",
 * taken here as 27 °C, the middle of the trade's 80 to 82 °F: 16 °C above the threshold.
 */
const DEG_H_PER_HOUR = 16

/**
 * What a nauplius is still worth at an age in hours, as corners of a straight-line curve.
 *
 * Moult to instar II about 8 h after hatching (from memory, no source seen). The moult costs 27 % of the energy and 20 % of the
 * dry weight (San Francisco Bay); over 24 h energy falls 22-37 % and dry weight 16-34 % across strains (Vanhaecke, Lavens &
 * Sorgeloos 1983). Single nauplii are taken to moult between 6 and 10 h, and the 2.5 % that brings a day's energy
 * loss to the middle of its range (29.5 %) is spread evenly; dry weight gets the same and ends at 22.5 %.
 *
 * - balanced: energy left. - most: dry weight left. - smallest: only the young count, falling to nothing at the moult
 *   (own choice, after the trade's habit of harvesting at 18 h rather than 24 h for the smallest nauplii).
 */
const WORTH: Readonly<Record<HarvestGoal, readonly (readonly [ageH: number, worth: number])[]>> = {
  balanced: lossAtMoult(0.27),
  most: lossAtMoult(0.2),
  smallest: [
    [0, 1],
    [8, 0],
  ],
}

function lossAtMoult(lost: number): readonly (readonly [number, number])[] {
  const steady = (ageH: number) => 1 - (0.025 * ageH) / 24
  return [
    [0, 1],
    [6, steady(6)],
    [10, steady(10) - lost],
    [240, steady(240) - lost],
  ]
}

/**
 * Usable food at a development, as a share of what all the lot's nauplii would be worth newly hatched, 0 to 1: hatched
 * nauplii, each weighed by what it is worth at its age. Exact: with straight pieces of worth it is a sum of integrals.
 */
export function usableFood(population: Population, goal: HarvestGoal, degH: number): number {
  const corners = WORTH[goal]
  let food = hatchedShare(population, degH)
  for (let at = 1; at < corners.length; at++) {
    const [fromH, fromWorth] = corners[at - 1] ?? [0, 0]
    const [toH, toWorth] = corners[at] ?? [0, 0]
    const slope = (toWorth - fromWorth) / ((toH - fromH) * DEG_H_PER_HOUR)
    const young = hatchedSoFar(population, degH - fromH * DEG_H_PER_HOUR)
    const old = hatchedSoFar(population, degH - toH * DEG_H_PER_HOUR)
    food += slope * (young - old)
  }
  return food
}

/** The development from which, at which and until which the usable food is within 5 % of its best. */
export function harvestWindow(population: Population, goal: HarvestGoal): HarvestWindow {
  const food = (degH: number) => usableFood(population, goal, degH)
  // The best lies after the first have hatched, and not later than a moult after the last.
  const bestDegH = highest(
    food,
    requirementOf(population, 0.01),
    requirementOf(population, 0.9999) + 10 * DEG_H_PER_HOUR,
  )
  const enough = WORTH_HARVESTING * food(bestDegH)
  let late = bestDegH + DEG_H_PER_HOUR
  while (food(late) >= enough && late < bestDegH + 240 * DEG_H_PER_HOUR) late += DEG_H_PER_HOUR
  return {
    fromDegH: boundary(food, enough, 0, bestDegH),
    bestDegH,
    untilDegH: boundary(food, enough, late, bestDegH),
  }
}

/** Where a curve with one top is highest: coarsely by steps, then by golden section. */
function highest(curve: (x: number) => number, from: number, to: number): number {
  const steps = 24
  let top = from
  for (let at = 1; at <= steps; at++) {
    const x = from + ((to - from) * at) / steps
    if (curve(x) > curve(top)) top = x
  }
  const golden = (Math.sqrt(5) - 1) / 2
  let low = Math.max(from, top - (to - from) / steps)
  let high = Math.min(to, top + (to - from) / steps)
  while (high - low > 0.01) {
    const left = high - golden * (high - low)
    const right = low + golden * (high - low)
    if (curve(left) < curve(right)) low = left
    else high = right
  }
  return (low + high) / 2
}

/** Where the curve crosses `level` between a point below it and a point above it; on the side of the point above. */
function boundary(curve: (x: number) => number, level: number, below: number, above: number): number {
  while (Math.abs(above - below) > 0.01) {
    const middle = (below + above) / 2
    if (curve(middle) < level) below = middle
    else above = middle
  }
  return above
}
