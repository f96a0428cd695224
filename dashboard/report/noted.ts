import type { Happening } from '../replay/happenings.ts'

/** As many as one page has room for. */
export const MOST_NOTED = 14

export interface Noted extends Happening {
  /** The number on the curves and in the list beside them. */
  readonly number: number
}

/** What a page has no room for goes first: reminders and what the model says; of alarms all but the calling and the answering. */
const WEIGHT = { cause: 0, alarm: 1, person: 2, gap: 2, batch: 9, hatch: 9, reminder: 9 } as const
const TOLD = /alarm, it called|called again|acknowledged/

/** What is marked with numbers on a report: the weightiest so many, in the order of their times. */
export function notedOf(
  happenings: readonly Happening[],
  most = MOST_NOTED,
): { noted: Noted[]; left: number } {
  const worth = happenings.filter(
    ({ kind, words }) => WEIGHT[kind] < 9 && (kind !== 'alarm' || TOLD.test(words)),
  )
  const kept = worth
    .map((each, at) => ({ each, at }))
    .sort((a, b) => WEIGHT[a.each.kind] - WEIGHT[b.each.kind] || a.at - b.at)
    .slice(0, most)
    .sort((a, b) => a.at - b.at)
  return {
    noted: kept.map(({ each }, at) => ({ ...each, number: at + 1 })),
    left: worth.length - kept.length,
  }
}
