import type { CountAt } from '../hatch/counts/whole-count.ts'
import type { BatchEvent } from './event-contract.ts'

/** A count of a batch's log as it is looked for by which harvest it tells of. */
export const countAt = (event: BatchEvent): CountAt => ({
  atMs: event.atMs,
  harvest: event.kind === 'count' && event.harvest,
  isWhole:
    event.kind === 'count' &&
    event.drawnOffMl === undefined &&
    event.samples.some(({ embryos }) => embryos !== undefined),
})
