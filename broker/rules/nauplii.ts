import { Stage } from '../hatch/contract.ts'
import type { VesselFacts } from './contract.ts'
import { minutesLeft } from './words.ts'

/** Whether nauplii may be out, by the stage of the batch: from then on air is a matter of minutes. */
export function hasNauplii({ batch }: VesselFacts): boolean {
  const stage = batch?.stage
  return stage === Stage.hatching || stage === Stage.harvest || stage === Stage.overdue
}

/** Minutes until harm is feared once the air is gone, at the greatest demand that is likely; `null` when not known. */
export function oxygenMinutes({ batch }: VesselFacts): number | null {
  const minutes = batch?.oxygen?.minutesTo2.p10
  return minutes !== undefined && Number.isFinite(minutes) ? minutes : null
}

/** How long the oxygen lasts once there are nauplii. It must not promise more time than there is. */
export function forNauplii(facts: VesselFacts): string {
  const minutes = oxygenMinutes(facts)
  if (minutes === null) return ''
  return `: about ${minutesLeft(minutes)} for this vessel, less if the air was weak before`
}

/** How long it lasts before the hatch, in the middle; and the short end where they may hatch early. */
export function beforeHatch({ batch }: VesselFacts): string {
  const minutes = batch?.oxygen?.minutesTo2
  if (minutes === undefined || !Number.isFinite(minutes.p50)) return ''
  const early = minutes.p10 < minutes.p50 / 2 ? `, or ${minutesLeft(minutes.p10)} if they hatch early` : ''
  return ` The oxygen lasts about ${minutesLeft(minutes.p50)}${early}.`
}
