import { Change, type Comparison, type Occurrence } from './contract.ts'

/** Calls further apart than this are of two different things, ms, unless both alarms held at the same time. Own choice. */
export const SAME_THING_MS = 3_600_000

/**
 * Which alarms of two runs over the same readings are the same thing: of one rule and vessel, holding at the same time or called
 * for within the hour, each with the nearest. What calls nobody is no alarm to the person, and is left out.
 */
export function compare(now: readonly Occurrence[], then: readonly Occurrence[]): Comparison[] {
  const before = now.filter(called)
  const after = then.filter(called)
  const pairs = before
    .flatMap(a =>
      after.filter(b => isSame(a, b)).map(b => ({ a, b, apartMs: Math.abs(firstCall(a) - firstCall(b)) })),
    )
    .sort((x, y) => x.apartMs - y.apartMs)
  const taken = new Set<Occurrence>()
  const found: Comparison[] = []
  for (const { a, b } of pairs) {
    if (taken.has(a) || taken.has(b)) continue
    taken.add(a).add(b)
    const byMs = firstCall(b) - firstCall(a)
    const change = byMs === 0 ? Change.same : byMs < 0 ? Change.earlier : Change.later
    found.push({ change, rule: a.rule, now: a, then: b, byMs })
  }
  for (const a of before)
    if (!taken.has(a)) found.push({ change: Change.gone, rule: a.rule, now: a, then: null, byMs: 0 })
  for (const b of after)
    if (!taken.has(b)) found.push({ change: Change.new, rule: b.rule, now: null, then: b, byMs: 0 })
  return found.sort((x, y) => momentOf(x) - momentOf(y))
}

const called = ({ calledAtMs }: Occurrence): boolean => calledAtMs.length > 0
const firstCall = ({ calledAtMs, raisedAtMs }: Occurrence): number => calledAtMs[0] ?? raisedAtMs

function isSame(a: Occurrence, b: Occurrence): boolean {
  if (a.rule !== b.rule || a.vesselId !== b.vesselId) return false
  if (Math.abs(firstCall(a) - firstCall(b)) <= SAME_THING_MS) return true
  return a.raisedAtMs <= (b.clearedAtMs ?? Infinity) && b.raisedAtMs <= (a.clearedAtMs ?? Infinity)
}

function momentOf({ now, then }: Comparison): number {
  const first = now ?? then
  return first ? firstCall(first) : 0
}
