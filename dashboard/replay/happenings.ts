import type { JournalEntry } from '../../broker/web/api/journal.ts'
import type { Alarm } from '../../broker/web/api/schemas.ts'
import { ALARM_WORD } from '../words/alarm.ts'
import { seenText } from '../words/seen.ts'
import type { TemperatureUnit } from '../words/temperature.ts'
import { duration } from '../words/time.ts'
import { causeTitle } from './words.ts'
import { type Diagnosis, rankedCauses } from './diagnosed.ts'
import { killedFromMs } from './killed.ts'
import { isAcknowledging } from './alarms-then.ts'
import type { Recording } from './recording.ts'

/** What kind of thing happened: each has its own sign. */
export const HappeningKind = {
  batch: 'batch',
  hatch: 'hatch',
  alarm: 'alarm',
  person: 'person',
  reminder: 'reminder',
  gap: 'gap',
  cause: 'cause',
} as const
export type HappeningKind = (typeof HappeningKind)[keyof typeof HappeningKind]

export interface Happening {
  readonly kind: HappeningKind
  /** Unix ms, within the recording: what was written down after the end stands at the end. */
  readonly atMs: number
  readonly words: string
  /** Who did it, if a person did. */
  readonly by: string | null
  readonly priority: Alarm['priority'] | null
}

/** Everything that happened to a batch, in the order of time. */
export function happeningsOf(
  recording: Recording,
  diagnosis: Diagnosis | null,
  unit: TemperatureUnit = 'C',
): Happening[] {
  const { replay, fromMs, toMs, gaps } = recording
  const all: Happening[] = []
  const add = (kind: HappeningKind, atMs: number, words: string, more: Partial<Happening> = {}) =>
    all.push({
      kind,
      atMs: Math.min(toMs, Math.max(fromMs, atMs)),
      words,
      by: null,
      priority: null,
      ...more,
    })
  add('batch', fromMs, 'Cysts into the water')
  for (const entry of replay.alarms)
    for (const step of alarmSteps(entry)) add('alarm', step.atMs, step.words, step)
  for (const event of replay.events)
    add('person', Date.parse(event.at), seenText(event, unit), { by: event.by })
  for (const { title, due } of replay.reminders)
    add('reminder', Date.parse(due), `Asked to be done: ${title}`)
  for (const gap of gaps)
    add('gap', gap.fromMs, `No good water reading for ${duration(gap.toMs - gap.fromMs)}`)
  const killedMs = killedFromMs(replay.events, diagnosis)
  const { t10, t90, reachesHatch } = replay.forecast
  const out = (at: string, words: string) => {
    const atMs = Date.parse(at)
    if (reachesHatch && atMs <= toMs && atMs < killedMs) add('hatch', Date.parse(at), words)
  }
  out(t10.p50, 'About a tenth is out, as reckoned')
  out(t90.p50, 'About nine in ten are out, as reckoned')
  rankedCauses(diagnosis).forEach((cause, index) => {
    const what = cause.noLossCounted && diagnosis?.risky.includes(cause) ? 'Risk' : 'Cause'
    const starts = cause.evidence.flatMap(({ spans }) => spans.map(({ from }) => Date.parse(from)))
    const first = Math.min(...starts)
    if (Number.isFinite(first)) add('cause', first, `${what} ${index + 1} begins: ${causeTitle(cause.kind)}`)
  })
  if (replay.batch.endedAt !== null) add('batch', toMs, 'The batch ends')
  return all.sort((a, b) => a.atMs - b.atMs || rank(a) - rank(b))
}

/** At the same moment: first that it began, last that it ended. */
const rank = ({ kind, words }: Happening): number =>
  kind !== 'batch' ? 1 : words === 'Cysts into the water' ? 0 : 2

interface Step {
  readonly atMs: number
  readonly words: string
  readonly by: string | null
  readonly priority: Alarm['priority']
}

/** A warning is called for as what it warned of once that has come. */
export function namedFrom(rule: Alarm['rule'], reason: string | null, before: string): string {
  if (rule !== 'water-heading-hot') return before
  if (reason === 'above-limit') return ALARM_WORD['water-too-hot']
  return reason === 'back-within-limit' ? ALARM_WORD[rule] : before
}

/** An alarm's life as far as it is of use here: came, called again, acknowledged and by whom, put off, over. */
function alarmSteps({ alarm, steps }: JournalEntry): Step[] {
  let name = ALARM_WORD[alarm.rule]
  let called = false
  return steps.flatMap(({ at, state, reason, calls, by }) => {
    const say = (words: string): Step[] => [
      { atMs: Date.parse(at), words: `${name}: ${words}`, by, priority: alarm.priority },
    ]
    name = namedFrom(alarm.rule, reason, name)
    if (calls) {
      const words = called ? 'called again' : 'alarm, it called'
      called = true
      return say(words)
    }
    if (isAcknowledging({ at, state, reason, calls, by })) return say('acknowledged')
    switch (reason) {
      case 'shelved':
        return say('put off')
      case 'out-of-service':
        return say('taken out of service')
      case 'consequence':
        return say('silent, as the consequence of another alarm')
      case 'suppressed':
        return say('silent, for the work that went on')
      case 'reset':
        return say('reset')
      case 'batch-ended':
        return say('over with its batch')
      default:
        return state === 'normal' ||
          state === 'return-to-normal-unacknowledged' ||
          state === 'latched' ||
          state === 'latched-acknowledged'
          ? say('over')
          : []
    }
  })
}

/** The place of the last one that is not later than a moment; -1 before the first. */
export function happeningAt(happenings: readonly Pick<Happening, 'atMs'>[], atMs: number): number {
  return happenings.findLastIndex(each => each.atMs <= atMs)
}

/** The moment of the next happening after, or of the last before a moment; `null` when there is none. */
export function nextMoment(
  happenings: readonly Pick<Happening, 'atMs'>[],
  atMs: number,
  towards: 1 | -1,
): number | null {
  const found =
    towards > 0 ? happenings.find(each => each.atMs > atMs) : happenings.findLast(each => each.atMs < atMs)
  return found?.atMs ?? null
}
