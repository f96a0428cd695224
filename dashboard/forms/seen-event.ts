import type { BatchEvent, NewBatchEvent } from '../../broker/web/api/events.ts'
import { request } from '../state/api.ts'

/** Something was written down: its `detail` is the entry as the broker keeps it. */
export const seenEvent = (detail: BatchEvent): CustomEvent<BatchEvent> =>
  new CustomEvent('bw-seen', { detail, bubbles: true, composed: true })
/** The form is done with, or was given up. */
export const closeEvent = (): Event => new Event('bw-close', { bubbles: true, composed: true })

/** Writes down what was seen of a batch; what has defaults at the broker may be left out. */
export function writeDown(
  batchId: string,
  event:
    | Exclude<NewBatchEvent, { kind: 'count' }>
    | (Omit<Extract<NewBatchEvent, { kind: 'count' }>, 'harvest'> & { readonly harvest?: boolean }),
): Promise<BatchEvent> {
  return request<BatchEvent>('POST', `/batches/${encodeURIComponent(batchId)}/events`, event)
}

export function withdraw(event: BatchEvent): Promise<BatchEvent> {
  return request<BatchEvent>(
    'POST',
    `/batches/${encodeURIComponent(event.batchId)}/events/${encodeURIComponent(event.id)}/withdraw`,
  )
}
