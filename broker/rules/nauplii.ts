import { Stage } from '../hatch/contract.ts'
import { oxygenLasts } from '../hatch/oxygen/minutes-left.ts'
import type { VesselFacts } from './contract.ts'
import { minutesLeft } from './words.ts'

/** Whether nauplii may be out, by the stage of the batch: from then on air is a matter of minutes. */
export function hasNauplii({ batch }: VesselFacts): boolean {
  const stage = batch?.stage
  return stage === Stage.hatching || stage === Stage.harvest || stage === Stage.overdue
}

/** Minutes until harm is feared once the air is gone, at the greatest demand that is likely; `null` when not known. */
export function oxygenMinutes({ batch }: Pick<VesselFacts, 'batch'>): number | null {
  return batch?.oxygen ? oxygenLasts(batch.oxygen, true) : null
}

/** How long the oxygen lasts once there are nauplii. It must not promise more time than there is. */
export function forNauplii(facts: VesselFacts): string {
  const minutes = oxygenMinutes(facts)
  if (minutes === null) return ''
  return `: about ${minutesLeft(minutes)} for this vessel, less if the air was weak before`
}

/** How long it lasts before the hatch, in the middle; and the short end where they may hatch early. */
export function beforeHatch({ batch }: VesselFacts): string {
  const minutes = batch?.oxygen ? oxygenLasts(batch.oxygen, false) : null
  if (minutes === null) return ''
  const soonest = oxygenMinutes({ batch }) ?? minutes
  const early = soonest < minutes / 2 ? `, or ${minutesLeft(soonest)} if they hatch early` : ''
  return ` The oxygen lasts about ${minutesLeft(minutes)}${early}.`
}
