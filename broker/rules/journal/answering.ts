import { AlarmState, Reason } from '../alarm.ts'
import type { JournalFigures, JournalStep } from './contract.ts'
import { UNANSWERED_MS } from './marks.ts'

/**
 * How long each call waited for somebody to say that it was heard. A call that is repeated before, because it became worse, is one
 * call that waits from its first word.
 */
export function answeringOf(steps: readonly JournalStep[], nowMs: number): JournalFigures['acknowledging'] {
  const waiting = new Map<string, number>()
  const tookMs: number[] = []
  let never = 0
  for (const { alarmId, atMs, state, reason, calls } of steps) {
    const sinceMs = waiting.get(alarmId)
    if (calls) {
      if (sinceMs === undefined) waiting.set(alarmId, atMs)
    } else if (sinceMs !== undefined && isAnswer(state, reason)) {
      tookMs.push(Math.max(0, atMs - sinceMs))
      waiting.delete(alarmId)
    } else if (sinceMs !== undefined && state === AlarmState.normal) {
      // Withdrawn: the batch ended, or nobody watches it any more.
      never++
      waiting.delete(alarmId)
    }
  }
  for (const sinceMs of waiting.values()) if (nowMs - sinceMs >= UNANSWERED_MS) never++
  tookMs.sort((a, b) => a - b)
  const count = tookMs.length
  const half = count >> 1
  const middle = count % 2 === 1 ? tookMs[half] : ((tookMs[half - 1] ?? 0) + (tookMs[half] ?? 0)) / 2
  return {
    count,
    meanMs: count === 0 ? null : tookMs.reduce((sum, ms) => sum + ms, 0) / count,
    medianMs: count === 0 ? null : (middle ?? null),
    never,
  }
}

/** Somebody has dealt with it: acknowledged it, shelved it, or taken it out of service. */
const ANSWERS: ReadonlySet<AlarmState> = new Set([
  AlarmState.acknowledged,
  AlarmState.latchedAcknowledged,
  AlarmState.shelved,
  AlarmState.outOfService,
])
/** What is over when it is acknowledged returns to normal at once. */
const isAnswer = (state: AlarmState, reason: Reason): boolean =>
  reason === Reason.acknowledged || reason === Reason.reset || ANSWERS.has(state)
