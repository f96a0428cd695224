import type { Alarm } from '../rules/alarm.ts'
import { AlarmState } from '../rules/alarm.ts'
import type { VesselAct } from '../rules/contract.ts'
import type { SystemAct } from '../rules/system/judge-system.ts'
import type { SystemRuleName } from '../rules/alarm.ts'
import { type Role, WatchKind, type WatchRow } from '../store/contract.ts'
import type { RoomSettings } from './contract.ts'
import type { RoomState } from './state.ts'

/** What the lines of the log of the watch hold, by their kind. */
export interface WatchLines {
  readonly began: Record<string, never>
  readonly alarm: Pick<Alarm, 'rule' | 'state' | 'priority' | 'reason' | 'causedBy'> & {
    /** The step calls: it is the raising, a worsening, or a call again. */
    readonly calls: boolean
    /** Who did it, if a person did. */
    readonly by: string | null
    readonly shelvedUntilMs: number | null
    /** What it said, at a step that calls: a later call may say something else. Not in lines that an older version wrote. */
    readonly says?: string
    /** At a step that takes it out of service: until when, if not until it is returned, and what for. */
    readonly outUntilMs?: number
    readonly outWhy?: string
    /** When it was noticed: what fell due while the service was away is noticed later than it was. */
    readonly noticedAtMs: number
  }
  readonly act:
    { readonly onVessel: VesselAct } | { readonly rule: SystemRuleName; readonly onSystem: SystemAct }
  readonly backlog: Backlog
  readonly lamp: { readonly heats: boolean }
  readonly settings: Pick<RoomSettings, 'altitudeM' | 'rules'>
}

/** Readings of one role that came long after they were measured, and when. */
export interface Backlog {
  readonly role: Role
  readonly fromMs: number
  /** Inclusive. */
  readonly toMs: number
  readonly receivedAtMs: number
}

/** Writes a line. Nobody waits for it: the alarm never waits for the disk. */
export function note<K extends keyof WatchLines>(
  state: RoomState,
  kind: K,
  line: WatchLines[K],
  of: Partial<Pick<WatchRow, 'atMs' | 'vesselId' | 'alarmId'>> = {},
): void {
  const { store, clock } = state.parts
  const { atMs = clock(), vesselId = null, alarmId = null } = of
  const row = { kind, atMs, vesselId, alarmId, json: JSON.stringify(line) }
  state.unkept.keep('keeping the log of the watch', `watch ${state.linesNoted++}`, () => store.keepWatch(row))
}

/** Reads a line's rest back. */
export function lineOf<K extends keyof WatchLines>(row: WatchRow, kind: K): WatchLines[K] | null {
  return row.kind === kind ? (JSON.parse(row.json) as WatchLines[K]) : null
}

/** `actor`: the person whose act brought the step about, if one did. */
export function noteStep(state: RoomState, alarm: Alarm, calls: boolean, actor: string | null = null): void {
  const { id, vesselId, rule, priority, reason, causedBy, shelvedUntilMs } = alarm
  const by = byWhom(alarm) ?? (ACTED.has(reason) ? actor : null)
  const { outUntilMs, outWhy } = state.outOfService.told(alarm)
  const noticedAtMs = state.parts.clock()
  const line = {
    rule,
    state: alarm.state,
    priority,
    reason,
    causedBy,
    calls,
    by,
    shelvedUntilMs,
    noticedAtMs,
    ...(calls ? { says: alarm.text } : {}),
    ...(outUntilMs === undefined ? {} : { outUntilMs }),
    ...(outWhy === undefined ? {} : { outWhy }),
  }
  note(state, WatchKind.alarm, line, {
    atMs: stepAt(alarm, calls, noticedAtMs),
    vesselId,
    alarmId: id,
  })
}

const BY_PERSON: Readonly<Partial<Record<Alarm['reason'], 'acknowledgedBy' | 'setAsideBy'>>> = {
  acknowledged: 'acknowledgedBy',
  shelved: 'setAsideBy',
  'out-of-service': 'setAsideBy',
}

/** What a person does, and the alarm itself does not remember of whom it was. */
const ACTED: ReadonlySet<Alarm['reason']> = new Set(['unshelved', 'reset', 'in-service', 'suppression-ended'])

function byWhom(alarm: Alarm): string | null {
  const field = BY_PERSON[alarm.reason]
  return field === undefined ? null : alarm[field]
}

const OVER: ReadonlySet<AlarmState> = new Set([
  AlarmState.normal,
  AlarmState.returnedUnacknowledged,
  AlarmState.latched,
])

/** When the newest step of an alarm was: what time alone brought about was at its own time, not when that was noticed. */
function stepAt(alarm: Alarm, calls: boolean, nowMs: number): number {
  if (alarm.reason === 'acknowledged') return alarm.acknowledgedAtMs ?? nowMs
  if (calls) return alarm.announcedAtMs ?? nowMs
  // What is let go of was over long before; and nothing that follows an acknowledgement was before it.
  if (alarm.reason === 'reset' || !OVER.has(alarm.state)) return nowMs
  return Math.max(alarm.clearedAtMs ?? nowMs, alarm.acknowledgedAtMs ?? -Infinity)
}
