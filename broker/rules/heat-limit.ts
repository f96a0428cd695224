import { allowedC } from '../hatch/calibration/allowance.ts'
import type { RuleSettings, VesselFacts } from './contract.ts'

/** From which reading on the water of a vessel is too hot, °C, and how much of that is allowed for its probe. */
export interface HeatLimit {
  readonly limitC: number
  /** 0 where the limit is the one that is set: never less, so that nothing is called later than without. */
  readonly earlierC: number
}

/** @param setting of water-too-hot. */
export function heatLimit(
  { limit, allowForProbe = true }: Pick<RuleSettings, 'limit' | 'allowForProbe'>,
  { probeUncertaintyC }: Pick<VesselFacts, 'probeUncertaintyC'>,
): HeatLimit {
  const earlierC = allowForProbe ? allowedC(probeUncertaintyC) : 0
  return { limitC: limit - earlierC, earlierC }
}
