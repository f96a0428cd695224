import type { JournalEntry } from '../../broker/web/api/journal.ts'
import type { Alarm } from '../../broker/web/api/schemas.ts'
import { alarmWord } from '../words/alarm.ts'

type Step = JournalEntry['steps'][number]

/** Somebody acknowledged it at this step. Of old alarms the reason of a step is not known, its state is. */
export const isAcknowledging = ({ state, reason, calls }: Step): boolean =>
  !calls && (reason === 'acknowledged' || state === 'acknowledged')

/** An alarm as it stood at a moment, Unix ms; `null` before it came and once it was over and done with. */
export function alarmThen({ alarm, steps }: JournalEntry, atMs: number): Alarm | null {
  const until = steps.filter(({ at }) => Date.parse(at) <= atMs)
  const last = until.at(-1)
  if (!last || last.state === 'normal') return null
  const acknowledged = until.findLast(isAcknowledging)
  const called = until.findLast(({ calls }) => calls)
  const cleared = alarm.clearedAt !== null && Date.parse(alarm.clearedAt) <= atMs
  return {
    ...alarm,
    state: last.state,
    reason: last.reason,
    clearedAt: cleared ? alarm.clearedAt : null,
    acknowledgedAt: acknowledged?.at ?? null,
    acknowledgedBy: acknowledged?.by ?? null,
    announcedAt: called?.at ?? null,
  }
}

/** All that stood at a moment. */
export const alarmsThen = (entries: readonly JournalEntry[], atMs: number): Alarm[] =>
  entries.flatMap(entry => alarmThen(entry, atMs) ?? [])

/** It was silent for work that went on at the vessel: nothing for anybody to see to. */
export const hushed = ({ state, reason, causedBy }: Pick<Alarm, 'state' | 'reason' | 'causedBy'>): boolean =>
  state === 'suppressed-by-design' && reason !== 'consequence' && causedBy === null

/** What stood then, and who had seen it: `Air lost, hushed for the work that went on`. */
export function seenThen(alarm: Alarm): string {
  const { acknowledgedAt, acknowledgedBy: by, announcedAt } = alarm
  const word = alarmWord(alarm)
  if (hushed(alarm)) return `${word}, hushed for the work that went on`
  if (acknowledgedAt === null) return `${word}, nobody had seen it`
  const again = announcedAt !== null && Date.parse(announcedAt) > Date.parse(acknowledgedAt)
  return `${word}, seen${by ? ` by ${by}` : ''}${again ? ', and called again since' : ''}`
}

/** The first alarm that called people, when somebody acknowledged it and who; `null` when none ever called. */
export interface FirstCall {
  readonly alarm: Alarm
  readonly calledAtMs: number
  readonly acknowledgedAtMs: number | null
  readonly by: string | null
}

export function firstCall(entries: readonly JournalEntry[]): FirstCall | null {
  const calls = entries.flatMap(({ alarm, steps }) => {
    const called = steps.find(({ calls }) => calls)
    if (!called) return []
    const seen = steps.find(isAcknowledging)
    return [
      {
        alarm,
        calledAtMs: Date.parse(called.at),
        acknowledgedAtMs: seen ? Date.parse(seen.at) : null,
        by: seen?.by ?? null,
      },
    ]
  })
  return calls.sort((a, b) => a.calledAtMs - b.calledAtMs)[0] ?? null
}
