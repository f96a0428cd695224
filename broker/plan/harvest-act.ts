import type { PlannedHarvest } from './contract.ts'

/** What a running batch asks of the person at its harvest. */
export const HarvestAct = {
  harvest: 'harvest',
  /** An alarm stands that may cost it: that goes before any harvest. */
  seeTo: 'see-to',
  /** It gives next to nothing, and nothing is wrong that could still be put right. */
  empty: 'empty',
} as const
export type HarvestAct = (typeof HarvestAct)[keyof typeof HarvestAct]

/** What gives fewer nauplii is not harvested but emptied. Own choice. */
export const NOT_WORTH_HARVESTING = 50

interface Running {
  readonly id: string
  readonly danger: object | null
}

/** One answer for the page, the calendar and whoever reads the plan, so that none says "harvest" where another says "see to it first". */
export function harvestAct(
  { batchId, nauplii }: Pick<PlannedHarvest, 'batchId' | 'nauplii'>,
  running: readonly Running[],
): HarvestAct {
  const batch = running.find(({ id }) => id === batchId)
  if (batch && batch.danger !== null) return HarvestAct.seeTo
  return nauplii < NOT_WORTH_HARVESTING ? HarvestAct.empty : HarvestAct.harvest
}
