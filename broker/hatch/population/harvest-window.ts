import type { HarvestGoal } from '../contract.ts'
import { DEG_H_PER_HOUR, WORTH } from './age.ts'
import type { Embryos, Population } from './population.ts'
import { embryosOf } from './population.ts'
import { weighedByAge } from './stages.ts'

/** Where the harvest begins, is best and ends, as development, °C·h above the threshold. */
export interface HarvestWindow {
  readonly fromDegH: number
  readonly bestDegH: number
  readonly untilDegH: number
}

/** The window holds while usable food is at least this share of its best. */
export const WORTH_HARVESTING = 0.95

/**
 * Usable food at a development, as a share of what all the lot's nauplii would be worth newly hatched, 0 to 1: hatched
 * nauplii, each weighed by what it is worth at its age.
 */
export function usableFood(population: Population, goal: HarvestGoal, degH: number): number {
  return weighedByAge(embryosOf(population), WORTH[goal], degH)
}

/** The development from which, at which and until which the usable food is within 5 % of its best. */
export function harvestWindow(population: Population, goal: HarvestGoal): HarvestWindow {
  return windowOf(embryosOf(population), goal)
}

export function windowOf(embryos: Embryos, goal: HarvestGoal): HarvestWindow {
  const food = (degH: number) => weighedByAge(embryos, WORTH[goal], degH)
  const bestDegH = highest(food, firstWorth(embryos), lastWorth(embryos))
  const enough = WORTH_HARVESTING * food(bestDegH)
  let late = bestDegH + DEG_H_PER_HOUR
  while (food(late) >= enough && late < bestDegH + 240 * DEG_H_PER_HOUR) late += DEG_H_PER_HOUR
  return {
    fromDegH: boundary(food, enough, 0, bestDegH),
    bestDegH,
    untilDegH: boundary(food, enough, late, bestDegH),
  }
}

// The best lies after the first in a hundred have hatched, and not later than a moult after the last in ten thousand.
const Z_FIRST = -2.3263
const Z_LAST = 3.719
function firstWorth({ lnMedian, sigma }: Embryos): number {
  return Math.exp(lnMedian + Z_FIRST * sigma)
}
function lastWorth({ lnMedian, sigma }: Embryos): number {
  return Math.exp(lnMedian + Z_LAST * sigma) + 10 * DEG_H_PER_HOUR
}

/** Where a curve with one top is highest: coarsely by steps, then by golden section. */
function highest(curve: (x: number) => number, from: number, to: number): number {
  const steps = 24
  let top = from
  let most = curve(from)
  for (let at = 1; at <= steps; at++) {
    const x = from + ((to - from) * at) / steps
    const value = curve(x)
    if (value > most) {
      most = value
      top = x
    }
  }
  const golden = (Math.sqrt(5) - 1) / 2
  let low = Math.max(from, top - (to - from) / steps)
  let high = Math.min(to, top + (to - from) / steps)
  let left = high - golden * (high - low)
  let right = low + golden * (high - low)
  let atLeft = curve(left)
  let atRight = curve(right)
  while (high - low > 0.01) {
    if (atLeft < atRight) {
      low = left
      left = right
      atLeft = atRight
      right = low + golden * (high - low)
      atRight = curve(right)
    } else {
      high = right
      right = left
      atRight = atLeft
      left = high - golden * (high - low)
      atLeft = curve(left)
    }
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
