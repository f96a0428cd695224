import type { Batch } from '../../broker/web/api/batches.ts'
import { readDraft } from '../state/draft.ts'
import type { TypedCount } from './typed-count.ts'

/** Where a count that is under way is kept: of the stirred vessel before the air is off it is another one than of what was drawn off. */
export const countDraft = ({ id }: Pick<Batch, 'id'>, stirred = false): string =>
  `count.${id}${stirred ? '.stirred' : ''}`

/**
 * What was counted already of a count that was left half made: `2 samples, and 77 nauplii of the next`; empty where nothing was.
 * Volumes alone are no count.
 */
export function keptText({ samples = [], counts }: Partial<TypedCount>): string {
  const done = samples.length === 0 ? '' : samples.length === 1 ? '1 sample' : `${samples.length} samples`
  const begun = Object.values(counts ?? {}).some(text => text.trim() !== '')
  const nauplii = counts?.nauplii.trim() ?? ''
  const many = nauplii === '1' ? '1 nauplius' : `${nauplii} nauplii`
  const next = !begun ? '' : nauplii === '' ? 'a sample begun' : many
  if (done === '') return next
  return next === '' ? done : `${done}, and ${next} of the next`
}

/** The same of the count that this screen keeps of a batch. */
export function keptCount(batch: Pick<Batch, 'id'>, nowMs: number, stirred = false): string {
  const draft = readDraft<Partial<TypedCount>>(countDraft(batch, stirred), nowMs)
  return draft === null ? '' : keptText(draft)
}
