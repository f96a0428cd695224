/** Where a half-written note of a batch is kept. */
export const noteDraft = (batchId: string): string => `note.${batchId}`
