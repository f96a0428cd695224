import type { FoldedCalls } from './folded-calls.ts'
import type { Happening } from '../replay/happenings.ts'

/** As many as one page has room for. */
export const MOST_NOTED = 14

/** Each cause after the first takes the place of two rows of the list, which stands in two columns. */
export const roomForNoted = (causes: number): number => MOST_NOTED - 4 * Math.max(0, Math.min(causes, 3) - 1)

export interface Noted extends Happening {
  /** The number on the curves and in the list beside them. */
  readonly number: number
}

/** What a page has no room for goes first: reminders and what the model says. */
const WEIGHT = { cause: 0, alarm: 1, person: 2, gap: 2, batch: 9, hatch: 9, reminder: 9 } as const
/** Of an alarm that comes again and again its first call and the first answer are told. */
const CALLED = / alarm, it called$/
/** All that the sentence of calls that are folded tells. */
const IS_CALLS = /: (alarm, it called|called again|acknowledged)$/
const IS_LATER_CALLS = /: (called again|acknowledged)$/
const IS_ASIDE = /: (acknowledged|silent, as the consequence of another alarm)$/
const ANSWERED = / acknowledged$/

/** What is marked with numbers on a report: the weightiest so many, in the order of their times. */
export function notedOf(
  happenings: readonly Happening[],
  most = MOST_NOTED,
  folded: readonly FoldedCalls[] = [],
): { readonly noted: Noted[]; readonly left: number } {
  const told = new Set<string>()
  const isFolded = ({ kind, words }: Happening) =>
    kind === 'alarm' &&
    folded.some(
      ({ name, later }) =>
        (IS_CALLS.test(words) && words.startsWith(`${name}: `)) ||
        (IS_LATER_CALLS.test(words) && later.some(each => words.startsWith(`${each}: `))),
    )
  // What never called by itself was told of by what did.
  const called = new Set(
    happenings.flatMap(({ words }) => (CALLED.test(words) ? [words.split(': ')[0]] : [])),
  )
  const isToldOf = ({ kind, words }: Happening) =>
    kind === 'alarm' && folded.length > 0 && !called.has(words.split(': ')[0]) && IS_ASIDE.test(words)
  const single = happenings.filter(each => !isFolded(each) && !isToldOf(each))
  const all = [...single, ...folded.flatMap(each => each.told)].sort((a, b) => a.atMs - b.atMs)
  const worth = all.filter(({ kind, words }) => {
    if (WEIGHT[kind] === 9) return false
    if (kind !== 'alarm') return true
    if (folded.some(each => each.told.some(one => one.words === words))) return true
    if (!(CALLED.test(words) || ANSWERED.test(words)) || told.has(words)) return false
    told.add(words)
    return true
  })
  const kept = worth
    .map((each, at) => ({ each, at }))
    .sort((a, b) => WEIGHT[a.each.kind] - WEIGHT[b.each.kind] || a.at - b.at)
    .slice(0, most)
    .sort((a, b) => a.at - b.at)
  return {
    noted: kept.map(({ each }, at) => ({ ...each, number: at + 1 })),
    left: all.length - kept.length,
  }
}
