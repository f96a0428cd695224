import { COUNT_SLIPS, SLIP_SHAPE } from './batch-effect.ts'
import { CYSTS_PER_G_LN_SD } from './lot.ts'

/** How far dose and volumes may be off, as a standard deviation on the ln scale: a spoon, a bottle, a pipette. Own choice. */
export const DOSE_LN_SD = 0.12

/**
 * Nauplii that were counted alone are Poisson around dose × cysts per gram × share, and that mean is itself unsure by a gamma
 * distribution: of this shape when all was measured well, and of a flat one when a volume, a dilution or the litres are not
 * what they are taken for. Then the number says little: neither that the lot hatches badly nor that it is slow.
 */
const SOUND = 1 / (CYSTS_PER_G_LN_SD ** 2 + DOSE_LN_SD ** 2)

/** What does not depend on the mean: how much likelier a slip makes the number than sound volumes, before both have their mean. */
export function lnSlipAgainstSound(alone: number): number {
  const fixed = (shape: number) => lnRising(shape, alone) - alone * Math.log(shape)
  return fixed(SLIP_SHAPE) - fixed(SOUND) + Math.log(COUNT_SLIPS / (1 - COUNT_SLIPS))
}

/** ln likelihood of the number for its mean, apart from what is the same for all means; the slip's part in it, 0 to 1. */
export function lnAlone(alone: number, mean: number, lnSlip: number): { ln: number; slip: number } {
  const sound = -(SOUND + alone) * Math.log(1 + mean / SOUND)
  const slipped = lnSlip - (SLIP_SHAPE + alone) * Math.log(1 + mean / SLIP_SHAPE)
  // The lesser in terms of the greater: neither may run over.
  const ln = Math.max(sound, slipped) + Math.log1p(Math.exp(-Math.abs(slipped - sound)))
  return { ln, slip: Math.exp(slipped - ln) }
}

/** The most that {@link lnAlone} and `alone × ln(mean)` come to together, whatever the mean: both parts are highest where it is the number. */
export function mostAlone(alone: number, lnSlip: number): number {
  return (alone > 0 ? alone * Math.log(alone) : 0) + lnAlone(alone, alone, lnSlip).ln
}

/** ln of Γ(x + n) / Γ(x), by Stirling's series from 8 on; good to 1e-8. */
function lnRising(x: number, n: number): number {
  return lnGamma(x + n) - lnGamma(x)
}

function lnGamma(x: number): number {
  let shift = 0
  let at = x
  for (; at < 8; at++) shift += Math.log(at)
  const square = at * at
  const series = (1 / 12 - (1 / 360 - 1 / (1260 * square)) / square) / at
  return (at - 0.5) * Math.log(at) - at + Math.log(2 * Math.PI) / 2 + series - shift
}
