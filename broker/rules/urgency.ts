import { Priority } from './alarm.ts'

const RANK: Readonly<Record<Priority, number>> = {
  [Priority.critical]: 2,
  [Priority.high]: 1,
  [Priority.low]: 0,
}

/** Whether the first priority calls louder than the second. */
export function isMoreUrgent(one: Priority, other: Priority): boolean {
  return RANK[one] > RANK[other]
}
