import type { BatchEvent } from '../../broker/web/api/events.ts'

/** The log with this entry in its place: added, or in place of the same one as it was before. */
export function withEvent(events: readonly BatchEvent[], event: BatchEvent): readonly BatchEvent[] {
  const others = events.filter(each => each.id !== event.id)
  const before = events.find(each => each.id === event.id)
  // An entry is only ever taken back, never brought back.
  const newest = before?.withdrawnAt && !event.withdrawnAt ? before : event
  return [...others, newest].sort((a, b) => Date.parse(a.at) - Date.parse(b.at))
}
