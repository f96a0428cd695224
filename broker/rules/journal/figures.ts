import { AlarmState, Priority } from '../alarm.ts'
import { answeringOf } from './answering.ts'
import { chatteringOf } from './chattering.ts'
import {
  type Figure,
  type JournalFigures,
  type JournalInput,
  type JournalStep,
  type Source,
  Verdict,
} from './contract.ts'
import { ABOUT, DAY_MS, FEWEST_CALLS, MARKS, PRIORITY_MARKS, TEN_MINUTES_MS } from './marks.ts'

const MOST_FREQUENT = 5

/** How much was asked of people over a span, each figure beside what is published as good for it. */
export function journalFigures({ fromMs, toMs, nowMs, alarms, steps }: JournalInput): JournalFigures {
  const calls = steps.filter(step => step.calls)
  const days = Math.max(0, Math.min(toMs, nowMs) - fromMs) / DAY_MS
  const standing = alarms
    .filter(({ state }) => state !== AlarmState.normal)
    .sort((a, b) => a.raisedAtMs - b.raisedAtMs)
  const [oldest] = standing
  // What is out of service stands because somebody wants it to.
  const stale = standing.filter(
    ({ raisedAtMs, state }) => state !== AlarmState.outOfService && nowMs - raisedAtMs >= DAY_MS,
  )
  const chattering = chatteringOf(steps)
  return {
    calls: calls.length,
    days,
    perDay: held(days > 0 ? calls.length / Math.max(days, 1) : null, MARKS.perDay),
    busiestTenMinutes: busiest(calls),
    standing: standing.length,
    longestStanding: oldest ? { alarmId: oldest.id, sinceMs: oldest.raisedAtMs } : null,
    stale: { ...held(stale.length, MARKS.stale), alarmIds: stale.map(({ id }) => id) },
    chattering: { ...held(chattering.length, MARKS.chattering), sources: chattering },
    priorities: {
      critical: shareOf(Priority.critical, calls),
      high: shareOf(Priority.high, calls),
      low: shareOf(Priority.low, calls),
    },
    mostFrequent: mostFrequent(calls),
    acknowledging: answeringOf(steps, nowMs),
  }
}

function held(value: number | null, mark: number): Figure {
  const verdict = value === null ? Verdict.unknown : value <= mark ? Verdict.good : Verdict.over
  return { value, mark, verdict }
}

function busiest(calls: readonly JournalStep[]): JournalFigures['busiestTenMinutes'] {
  let most = 0
  let fromMs: number | null = null
  for (let first = 0, last = 0; last < calls.length; last++) {
    const atMs = calls[last]?.atMs ?? 0
    while ((calls[first]?.atMs ?? Infinity) <= atMs - TEN_MINUTES_MS) first++
    if (last - first + 1 <= most) continue
    most = last - first + 1
    fromMs = calls[first]?.atMs ?? null
  }
  return { ...held(most, MARKS.tenMinutes), fromMs }
}

/** Many urgent ones are too many; many of low priority are as they should be, and few of them are not. */
function shareOf(priority: Priority, calls: readonly JournalStep[]): JournalFigures['priorities'][Priority] {
  const count = calls.filter(call => call.priority === priority).length
  const mark = PRIORITY_MARKS[priority]
  if (calls.length < FEWEST_CALLS)
    return {
      calls: count,
      value: calls.length === 0 ? null : count / calls.length,
      mark,
      verdict: Verdict.unknown,
    }
  const value = count / calls.length
  const isGood = priority === Priority.low ? value >= mark / ABOUT : value <= mark * ABOUT
  return { calls: count, value, mark, verdict: isGood ? Verdict.good : Verdict.over }
}

function mostFrequent(calls: readonly JournalStep[]): JournalFigures['mostFrequent'] {
  const counted = new Map<string, Source & { calls: number }>()
  for (const { rule, vesselId } of calls) {
    const key = `${rule} ${vesselId ?? ''}`
    const one = counted.get(key)
    if (one) one.calls++
    else counted.set(key, { rule, vesselId, calls: 1 })
  }
  return [...counted.values()].sort((a, b) => b.calls - a.calls).slice(0, MOST_FREQUENT)
}
