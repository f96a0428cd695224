import { type Alarm, Priority } from './alarm.ts'

const RANK: Readonly<Record<Priority, number>> = {
  [Priority.critical]: 2,
  [Priority.high]: 1,
  [Priority.low]: 0,
}

/** Whether the first priority calls louder than the second. */
export function isMoreUrgent(one: Priority, other: Priority): boolean {
  return RANK[one] > RANK[other]
}

/** The most urgent first, of these what takes the most vessels, then the oldest, then by id, so that the order is always the same. */
export function byUrgency(one: Alarm, other: Alarm): number {
  return (
    RANK[other.priority] - RANK[one.priority] ||
    (other.takes ?? 1) - (one.takes ?? 1) ||
    one.raisedAtMs - other.raisedAtMs ||
    (one.id < other.id ? -1 : 1)
  )
}
