import { AlarmState, Priority } from '../alarm.ts'
import { annunciations } from './annunciations.ts'
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
import { ABOUT, DAY_MS, FEWEST_ALARMS, MARKS, PRIORITY_MARKS, TEN_MINUTES_MS } from './marks.ts'

const MOST_FREQUENT = 5

/** How much was asked of people over a span, each figure beside what is published as good for it. */
export function journalFigures({ fromMs, toMs, nowMs, alarms, steps }: JournalInput): JournalFigures {
  const raisedAtMs = new Map(alarms.map(alarm => [alarm.id, alarm.raisedAtMs]))
  const came = annunciations(steps, id => (raisedAtMs.get(id) ?? fromMs) < fromMs)
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
    alarms: came.length,
    calls: steps.filter(({ calls }) => calls).length,
    days,
    perDay: perDayOf(came.length, days),
    busiestTenMinutes: busiest(came),
    standing: standing.length,
    longestStanding: oldest ? { alarmId: oldest.id, sinceMs: oldest.raisedAtMs } : null,
    stale: { ...held(stale.length, MARKS.stale), alarmIds: stale.map(({ id }) => id) },
    chattering: { ...held(chattering.length, MARKS.chattering), sources: chattering },
    priorities: {
      critical: shareOf(Priority.critical, came),
      high: shareOf(Priority.high, came),
      low: shareOf(Priority.low, came),
    },
    mostFrequent: mostFrequent(came),
    acknowledging: answeringOf(steps, nowMs),
  }
}

function held(value: number | null, mark: number): Figure {
  const verdict = value === null ? Verdict.unknown : value <= mark ? Verdict.good : Verdict.over
  return { value, mark, verdict }
}

/** That a day is quiet shows when it is over; that it is too much shows at once. */
function perDayOf(came: number, days: number): Figure {
  const figure = held(days > 0 ? came / Math.max(days, 1) : null, MARKS.perDay)
  return days < 1 && figure.verdict === Verdict.good ? { ...figure, verdict: Verdict.unknown } : figure
}

function busiest(came: readonly JournalStep[]): JournalFigures['busiestTenMinutes'] {
  let most = 0
  let fromMs: number | null = null
  for (let first = 0, last = 0; last < came.length; last++) {
    const atMs = came[last]?.atMs ?? 0
    while ((came[first]?.atMs ?? Infinity) <= atMs - TEN_MINUTES_MS) first++
    if (last - first + 1 <= most) continue
    most = last - first + 1
    fromMs = came[first]?.atMs ?? null
  }
  return { ...held(most, MARKS.tenMinutes), fromMs }
}

/** Many urgent ones are too many; many of low priority are as they should be, and few of them are not. */
function shareOf(priority: Priority, came: readonly JournalStep[]): JournalFigures['priorities'][Priority] {
  const count = came.filter(each => each.priority === priority).length
  const mark = PRIORITY_MARKS[priority]
  if (came.length < FEWEST_ALARMS)
    return {
      alarms: count,
      value: came.length === 0 ? null : count / came.length,
      mark,
      verdict: Verdict.unknown,
    }
  const value = count / came.length
  const isGood = priority === Priority.low ? value >= mark / ABOUT : value <= mark * ABOUT
  return { alarms: count, value, mark, verdict: isGood ? Verdict.good : Verdict.over }
}

function mostFrequent(came: readonly JournalStep[]): JournalFigures['mostFrequent'] {
  const counted = new Map<string, Source & { alarms: number }>()
  for (const { rule, vesselId } of came) {
    const key = `${rule} ${vesselId ?? ''}`
    const one = counted.get(key)
    if (one) one.alarms++
    else counted.set(key, { rule, vesselId, alarms: 1 })
  }
  return [...counted.values()].sort((a, b) => b.alarms - a.alarms).slice(0, MOST_FREQUENT)
}
