import type { Limits, WaterState } from '../words/condition.ts'

/** Red, green, blue, 0 to 255. */
export type Rgb = readonly [number, number, number]

/** Water that is too cool, right, too hot, and water that nothing is known of. */
export const COOL: Rgb = [74, 112, 222]
export const RIGHT: Rgb = [32, 150, 138]
export const WARM: Rgb = [150, 140, 70]
export const HOT: Rgb = [222, 52, 76]
export const UNKNOWN: Rgb = [104, 116, 116]

const STEPS = 8

/** How near a limit, °C, the colour begins to lean towards what lies beyond. */
const LEAN_C = 1

/**
 * The water's colour against this batch's own limits. Inside them it is plainly "right" and leans only within a degree
 * of a limit; beyond them it is plainly wrong, so that colour and word never disagree.
 */
export function waterColour(waterC: number | null, state: WaterState, limits: Limits): Rgb {
  if (waterC === null || state === 'fault' || state === 'none') return UNKNOWN
  if (state === 'hot' || waterC > limits.hotC) return HOT
  if (state === 'idle') return mix(UNKNOWN, RIGHT, 0.45)
  if (waterC < limits.coolC) return COOL
  const toHot = 1 - (limits.hotC - waterC) / LEAN_C
  if (toHot > 0) return mix(RIGHT, WARM, toHot)
  const toCool = 1 - (waterC - limits.coolC) / LEAN_C
  return toCool > 0 ? mix(RIGHT, COOL, toCool * 0.5) : RIGHT
}

function mix(from: Rgb, to: Rgb, share: number): Rgb {
  // In steps, so that the noise of a probe does not repaint the water with every reading.
  const part = Math.round(Math.min(1, Math.max(0, share)) * STEPS) / STEPS
  const blend = (index: 0 | 1 | 2) => Math.round(from[index] + (to[index] - from[index]) * part)
  return [blend(0), blend(1), blend(2)]
}

export const css = ([red, green, blue]: Rgb, alpha = 1): string =>
  alpha === 1 ? `rgb(${red} ${green} ${blue})` : `rgb(${red} ${green} ${blue} / ${alpha})`
