import type { Batch } from '../../broker/web/api/batches.ts'

/** How a batch ended. A closed set: what is kept with the batch as its note. */
export const Outcome = { harvested: 'harvested', givenUp: 'given up' } as const
export type Outcome = (typeof Outcome)[keyof typeof Outcome]

export const OUTCOME_WORDS: Record<Outcome, string> = { harvested: 'Harvested', 'given up': 'Given up' }

/** The longest note that the broker keeps, characters. */
const NOTE_LENGTH = 2000

/** A batch's note with how it ended: ending would otherwise put the outcome in place of what was noted before. */
export function endNote(before: string | null, outcome: Outcome): string {
  if (before === null || before.trim() === '') return outcome
  const room = NOTE_LENGTH - outcome.length - 2
  return `${before.trim().slice(0, room)}; ${outcome}`
}

/** Those of these batches that have ended, the newest first. */
export const endedBatches = (batches: readonly Batch[]): (Batch & { readonly endedAt: string })[] =>
  batches
    .flatMap(batch => (batch.endedAt === null ? [] : [{ ...batch, endedAt: batch.endedAt }]))
    .sort((a, b) => Date.parse(b.startedAt) - Date.parse(a.startedAt))
