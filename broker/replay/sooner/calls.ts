import type { RuleName } from '../../rules/alarm.ts'
import { compare, SAME_THING_MS } from '../compare.ts'
import type { Occurrence } from '../contract.ts'
import type { Occurrences } from '../occurrences.ts'

/** A call so long before the damage began is of something else, unless its alarm still stood then, ms. Own choice. */
export const MOST_LEAD_MS = 6 * 3_600_000

/** What called within a span, or was raised in it: also an alarm from before that nobody acknowledged, and that came again. */
export function occurrencesWithin(
  found: Occurrences,
  vesselId: string,
  { fromMs, toMs }: { readonly fromMs: number; readonly toMs: number },
): Occurrence[] {
  return found
    .of(vesselId, -Infinity, toMs)
    .map(one => ({ ...one, calledAtMs: one.calledAtMs.filter(atMs => atMs >= fromMs) }))
    .filter(({ calledAtMs, raisedAtMs }) => calledAtMs.length > 0 || raisedAtMs >= fromMs)
}

/** When an alarm first called for the damage; `null` when it did not. */
function callFor({ calledAtMs, clearedAtMs }: Occurrence, damageAtMs: number): number | null {
  const near = calledAtMs.find(atMs => atMs >= damageAtMs - MOST_LEAD_MS)
  return near ?? ((clearedAtMs ?? Infinity) >= damageAtMs ? (calledAtMs.at(-1) ?? null) : null)
}

/** The first call of one of these rules that was about the damage; `null` when none called. */
export function firstCallFor(
  found: readonly Occurrence[],
  rules: readonly RuleName[],
  damageAtMs: number,
): { readonly rule: RuleName; readonly calledAtMs: number } | null {
  const calls = found.flatMap(one => {
    const calledAtMs = rules.includes(one.rule) ? callFor(one, damageAtMs) : null
    return calledAtMs === null ? [] : [{ rule: one.rule, calledAtMs }]
  })
  return calls.sort((a, b) => a.calledAtMs - b.calledAtMs)[0] ?? null
}

/**
 * How many calls there would have been of things that call nobody now. What is called for sooner than now is none; nor is what
 * concerns the damage, where there was any.
 */
export function newCalls(
  now: readonly Occurrence[],
  then: readonly Occurrence[],
  damageAtMs: number | null,
): number {
  let count = 0
  for (const { now: before, then: after } of compare(now, then)) {
    if (!after || (damageAtMs !== null && callFor(after, damageAtMs) !== null)) continue
    if (!before) count += after.calledAtMs.length
    else count += after.calledAtMs.slice(1).filter(atMs => !isKnown(before, atMs)).length
  }
  return count
}

/** An alarm that comes again before anybody acknowledged it is the same alarm: whether each of its calls is one that there is now. */
function isKnown({ raisedAtMs, clearedAtMs, calledAtMs }: Occurrence, atMs: number): boolean {
  if (raisedAtMs <= atMs && atMs <= (clearedAtMs ?? Infinity)) return true
  return calledAtMs.some(each => Math.abs(each - atMs) <= SAME_THING_MS)
}
