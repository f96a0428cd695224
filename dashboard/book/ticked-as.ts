import type { Step } from '../../broker/hatch/recipe/steps.ts'
import type { Walk } from '../../broker/web/api/books.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import { shortTemperature, type TemperatureUnit } from '../words/temperature.ts'

/** Where the words of a step are kept as they read when it was ticked: so that an amount that changed since is told of. */
export const tickedAsKey = (step: string): string => `ticked.${step}`

/** What a step read when it was ticked, where it reads otherwise by now; `null` where it does not, or nobody kept it. */
export function changedSince(walk: Pick<Walk, 'draft' | 'steps'>, { id, words }: Step): string | null {
  const before = walk.draft[tickedAsKey(id)]
  const isDone = walk.steps.some(({ step }) => step === id)
  return isDone && typeof before === 'string' && before !== words ? before : null
}

/** `The water is at 24.3 °C now.`; empty where nothing measures it. */
export const waterNow = (latest: Vessel['latest']['waterC'], unit: TemperatureUnit): string =>
  latest && latest.value !== null ? `The water is at ${shortTemperature(latest.value, unit)} now.` : ''
