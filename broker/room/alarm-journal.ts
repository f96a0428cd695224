import type { Alarm, Priority, RuleName } from '../rules/alarm.ts'
import { annunciations } from '../rules/journal/annunciations.ts'
import type { JournalFigures, JournalStep } from '../rules/journal/contract.ts'
import { journalFigures } from '../rules/journal/figures.ts'
import { stepsFromRecord } from '../rules/journal/steps.ts'
import { WatchKind, type WatchRow } from '../store/contract.ts'
import type { RoomState } from './state.ts'
import { lineOf } from './watch-log.ts'

/** Figures are of the newest so many alarms and steps of a span: a room that has more of them has other troubles. */
const MOST_ALARMS = 5000
const MOST_STEPS = 20_000

export interface JournalQuery {
  readonly fromMs: number
  /** Exclusive. */
  readonly toMs: number
  /** Which alarms are listed; the figures are of all. */
  readonly vesselId?: string
  readonly rule?: RuleName
  readonly priority?: Priority
  readonly skip: number
  readonly limit: number
}

/** An alarm with its life within the span, step by step. */
export interface JournalEntry {
  readonly alarm: Alarm
  readonly steps: readonly WrittenStep[]
  /** How often it came and called within the span; 0 for one that came before, or called nobody. */
  readonly came: number
  /** The alarm that told of it, where it made no call of its own; `null` where there is none, or it is not known any more. */
  readonly because: JournalCause | null
}

/** The beginning of a chain that called for what came of it. */
export interface JournalCause {
  readonly alarmId: string
  readonly rule: RuleName
  readonly vesselId: string | null
  /** When it called last before that came, or else first; `null` if it never called. */
  readonly calledAtMs: number | null
}

/** A step with what was written down beside it. */
export interface WrittenStep extends JournalStep {
  /** What it said, at a step that called, where that was written down. */
  readonly says?: string
  /** Until when it was set aside by this step, Unix ms, if not for good. */
  readonly untilMs?: number
  /** What it was set aside for, in the person's words. */
  readonly why?: string
}

export interface JournalView {
  readonly figures: JournalFigures
  /** There were more alarms than figures are made of: they are of the newest. */
  readonly cut: boolean
  /** Newest first. */
  readonly entries: readonly JournalEntry[]
  /** More are listed on the next page. */
  readonly more: boolean
  /** When each alarm of the span was called and what became of it, as far as a drawing needs it. Oldest first. */
  readonly marks: readonly JournalMark[]
  /** What the vessels of these marks are called, by their ids: also those that are gone. */
  readonly names: Readonly<Record<string, string>>
}

/** One stretch of time in which an alarm held. */
export interface JournalMark {
  readonly alarmId: string
  readonly vesselId: string | null
  readonly rule: RuleName
  readonly priority: Priority
  readonly fromMs: number
  /** `null` while it stands. */
  readonly toMs: number | null
  /** Nobody was called for it. */
  readonly silent: boolean
  /** How often it came and called within the span; 0 for one that came before, or called nobody. */
  readonly came: number
}

/** The alarms of a span, and how much they asked of people. */
export async function alarmJournal(state: RoomState, query: JournalQuery): Promise<JournalView> {
  const { store, clock } = state.parts
  const { fromMs, toMs, skip, limit, ...which } = query
  await store.settled()
  const span = { sinceMs: fromMs, beforeMs: toMs }
  const alarms = await store.alarms({ ...span, limit: MOST_ALARMS })
  const lines = await store.watchLog({
    fromMs,
    toMs,
    kinds: [WatchKind.alarm],
    limit: MOST_STEPS,
    newest: true,
  })
  const written = new Map<string, WrittenStep[]>()
  for (const step of lines.flatMap(stepOf)) {
    const steps = written.get(step.alarmId)
    if (steps) steps.push(step)
    else written.set(step.alarmId, [step])
  }
  const within = ({ atMs }: JournalStep) => atMs >= fromMs && atMs < toMs
  const stepsOf = (alarm: Alarm): WrittenStep[] =>
    written.get(alarm.id) ?? stepsFromRecord(alarm).filter(within)
  const steps = alarms.flatMap(stepsOf).sort((a, b) => a.atMs - b.atMs)
  const [first] = await store.watchLog({ fromMs: 0, toMs, kinds: [WatchKind.began], limit: 1 })
  // A room that is younger than the span was not quiet before it was there.
  const watchedMs = Math.min(first?.atMs ?? fromMs, steps[0]?.atMs ?? Infinity)
  const spanFromMs = Math.max(fromMs, watchedMs)
  const cameOf = (alarm: Alarm) => annunciations(stepsOf(alarm), () => alarm.raisedAtMs < spanFromMs).length
  const of = new Set(alarms.flatMap(({ vesselId }) => vesselId ?? []))
  const named = (await store.vessels()).filter(({ id }) => of.has(id))
  const listed = await store.alarms({ ...span, ...which, skip, limit: limit + 1 })
  return {
    figures: journalFigures({ fromMs: spanFromMs, toMs, nowMs: clock(), alarms, steps }),
    cut: alarms.length === MOST_ALARMS || lines.length === MOST_STEPS,
    entries: listed.slice(0, limit).map(alarm => ({
      alarm,
      steps: stepsOf(alarm),
      came: cameOf(alarm),
      because: alarm.announcedAtMs === null ? causeOf(alarm, alarms, stepsOf) : null,
    })),
    more: listed.length > limit,
    marks: alarms.map(alarm => ({ ...markOf(alarm), came: cameOf(alarm) })).reverse(),
    names: Object.fromEntries(named.map(({ id, name }) => [id, name])),
  }
}

/** What called for an alarm that called nobody: the cause of its cause, as far as there are any. */
function causeOf(
  of: Alarm,
  alarms: readonly Alarm[],
  stepsOf: (alarm: Alarm) => readonly JournalStep[],
): JournalCause | null {
  const byId = new Map(alarms.map(alarm => [alarm.id, alarm]))
  const seen = new Set([of.id])
  let cause = byId.get(of.causedBy ?? '')
  for (let next = cause; next && !seen.has(next.id); next = byId.get(next.causedBy ?? '')) {
    seen.add(next.id)
    cause = next
  }
  if (!cause || cause.id === of.id) return null
  const calls = stepsOf(cause).filter(({ calls }) => calls)
  const call = calls.findLast(({ atMs }) => atMs <= of.raisedAtMs) ?? calls[0]
  const { id: alarmId, rule, vesselId, announcedAtMs } = cause
  return { alarmId, rule, vesselId, calledAtMs: call?.atMs ?? announcedAtMs }
}

function stepOf(row: WatchRow): WrittenStep[] {
  const line = lineOf(row, WatchKind.alarm)
  if (line === null || row.alarmId === null) return []
  const { rule, state, priority, reason, calls, by, says, outWhy } = line
  const untilMs = reason === 'shelved' ? line.shelvedUntilMs : line.outUntilMs
  const { atMs, alarmId, vesselId } = row
  return [
    {
      ...{ atMs, alarmId, vesselId, rule, state, priority, reason, calls, by },
      ...(says === undefined ? {} : { says }),
      ...(typeof untilMs === 'number' ? { untilMs } : {}),
      ...(outWhy === undefined ? {} : { why: outWhy }),
    },
  ]
}

function markOf({
  id,
  vesselId,
  rule,
  priority,
  raisedAtMs,
  clearedAtMs,
  announcedAtMs,
}: Alarm): Omit<JournalMark, 'came'> {
  return {
    alarmId: id,
    vesselId,
    rule,
    priority,
    fromMs: raisedAtMs,
    toMs: clearedAtMs,
    silent: announcedAtMs === null,
  }
}
