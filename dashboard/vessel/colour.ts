import { type Limits, rightBand, type WaterState } from '../words/condition.ts'

/** Red, green, blue, 0 to 255. */
export type Rgb = readonly [number, number, number]

/** Water that is too cool, cool, right, warm, too hot, and water that nothing is known of. */
export const COLD: Rgb = [74, 112, 222]
export const COOL: Rgb = [48, 134, 190]
export const RIGHT: Rgb = [32, 150, 138]
export const WARM: Rgb = [184, 138, 48]
export const HOT: Rgb = [222, 52, 76]
export const UNKNOWN: Rgb = [104, 116, 116]

const STEPS = 8

/**
 * The water's colour against this batch's own limits. Within what is right it is one colour; from there it turns towards
 * the limit, and beyond that it is plainly wrong, so that colour and word never disagree.
 */
export function waterColour(waterC: number | null, state: WaterState, limits: Limits): Rgb {
  if (waterC === null || state === 'fault' || state === 'none') return UNKNOWN
  if (state === 'hot' || state === 'returning-hot' || waterC > limits.hotC) return HOT
  if (state === 'returning-cold') return COLD
  if (state === 'idle') return mix(UNKNOWN, RIGHT, 0.45)
  if (waterC < limits.coolC) return COLD
  const { fromC, toC } = rightBand(limits)
  if (waterC > toC) return mix(RIGHT, WARM, 0.5 + (waterC - toC) / (limits.hotC - toC) / 2)
  if (waterC < fromC) return mix(RIGHT, COOL, 0.5 + (fromC - waterC) / (fromC - limits.coolC) / 2)
  return RIGHT
}

function mix(from: Rgb, to: Rgb, share: number): Rgb {
  // In steps, so that the noise of a probe does not repaint the water with every reading.
  const part = Math.round(Math.min(1, Math.max(0, share)) * STEPS) / STEPS
  const blend = (index: 0 | 1 | 2) => Math.round(from[index] + (to[index] - from[index]) * part)
  return [blend(0), blend(1), blend(2)]
}

export const css = ([red, green, blue]: Rgb, alpha = 1): string =>
  alpha === 1 ? `rgb(${red} ${green} ${blue})` : `rgb(${red} ${green} ${blue} / ${alpha})`
