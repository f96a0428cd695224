import type { Alarm, SystemRuleName } from '../rules/alarm.ts'
import { SYSTEM_RULES } from '../rules/alarm.ts'
import type { Transition } from '../rules/contract.ts'
import type { SystemAct } from '../rules/system/judge-system.ts'
import { WatchKind } from '../store/contract.ts'
import type { RoomState } from './state.ts'
import type { HeardDevice } from './watch/silent-together.ts'
import { note, noteStep } from './watch-log.ts'

/** Where the rules' memory of the system's own alarms is kept. */
export const SYSTEM_KEY = 'system-alarms'

/** Looks at the service and the room as a whole, and tells what changed. */
export function lookAtSystem(state: RoomState): void {
  tellAndKeep(state, state.system.look(devicesOf(state), state.settings.rules))
}

/** What a person does to an alarm that belongs to no vessel. */
export function actOnSystemAlarm(
  state: RoomState,
  rule: SystemRuleName,
  act: SystemAct,
): readonly Transition[] {
  const transitions = state.system.act(rule, act, devicesOf(state), state.settings.rules)
  note(state, WatchKind.act, { rule, onSystem: act })
  tellAndKeep(state, transitions, 'by' in act ? act.by : null)
  return transitions
}

/** Whether the alarm is one of the system's own. */
export function isSystemAlarm(alarm: Alarm): alarm is Alarm & { rule: SystemRuleName } {
  return (SYSTEM_RULES as readonly string[]).includes(alarm.rule)
}

function tellAndKeep(
  state: RoomState,
  transitions: readonly Transition[],
  actor: string | null = null,
): void {
  if (transitions.length === 0) return
  const { store } = state.parts
  for (const { alarm: judged, raised } of transitions) {
    const before = state.standing.get(judged.id)
    // The rules know of causes alone.
    const alarm = { ...judged, consequences: before?.consequences ?? [] }
    state.setAlarm(alarm, raised)
    state.unkept.keep('keeping an alarm', `alarm ${alarm.id}`, () => store.keepAlarm(alarm))
    // That its words followed what it is about is no step: devices may come and go all day.
    if (raised || alarm.state !== before?.state || alarm.reason !== before.reason)
      noteStep(state, alarm, raised, actor)
  }
  const { encoded } = state.system
  state.unkept.keep('keeping the system’s alarms', SYSTEM_KEY, () => store.keepDocument(SYSTEM_KEY, encoded))
}

function* devicesOf(state: RoomState): Iterable<HeardDevice> {
  for (const { row, lastHeardAtMs, usualGap } of state.devices.values()) {
    const watched = state.vesselsOf(row.name)
    if (watched.length === 0) continue
    const vessels = watched.map(vessel => vessel.row.name)
    const inUse = watched.some(({ batch }) => batch !== null)
    yield { name: row.name, lastHeardAtMs, usualGapMs: usualGap.ms, vessels, inUse }
  }
}
