import { AlarmState, type Alarm, type RuleName } from '../rules/alarm.ts'
import type { Transition, VesselAct } from '../rules/contract.ts'
import { type Hush, type HushReason, MOST_HUSH_MS } from '../rules/hush.ts'
import { LEAST_SHELVED_MS, mostShelvedMs } from '../rules/shelving.ts'
import type { SystemAct } from '../rules/system/judge-system.ts'
import { WatchKind } from '../store/contract.ts'
import { RoomError, RoomErrorKind, type OutInput, type ShelveInput } from './contract.ts'
import { judgeEvent } from './judging.ts'
import type { RoomState } from './state.ts'
import { actOnSystemAlarm, isSystemAlarm } from './system-alarms.ts'
import { note } from './watch-log.ts'

const MINUTE_MS = 60_000

/** What a person does to one standing alarm, whether a vessel's or the system's own. Answers with the alarm as it is then. */
type Act =
  | { readonly kind: 'acknowledge' | 'reset'; readonly by: string }
  | Extract<SystemAct, { kind: 'shelve' }>
  | { readonly kind: 'unshelve' }

export async function acknowledge(state: RoomState, id: string, by: string): Promise<Alarm> {
  const alarm = standing(state, id, 'acknowledge')
  const isSeen = alarm.state === AlarmState.acknowledged || alarm.state === AlarmState.latchedAcknowledged
  return isSeen ? alarm : act(state, alarm, { kind: 'acknowledge', by }, by)
}

export async function reset(state: RoomState, id: string, by: string): Promise<Alarm> {
  const alarm = standing(state, id, 'reset')
  if (alarm.state !== AlarmState.latched && alarm.state !== AlarmState.latchedAcknowledged)
    throw conflict(`Cannot reset the alarm: only what is over and latched can be reset, it is ${alarm.state}`)
  return act(state, alarm, { kind: 'reset', by }, by)
}

export async function shelve(state: RoomState, id: string, input: ShelveInput): Promise<Alarm> {
  const alarm = standing(state, id, 'put off')
  const mostMs = mostShelvedMs(alarm.priority, state.settings.shelveLimitMs)
  const untilIn = input.oneShot === true ? mostMs : (input.forMs ?? 0)
  if (input.oneShot !== true && !(untilIn >= LEAST_SHELVED_MS && untilIn <= mostMs)) {
    const most = `${mostMs / MINUTE_MS} min${alarm.priority === 'critical' ? ' for a critical alarm' : ''}`
    const minutes = input.forMs === undefined ? 'nothing' : `${input.forMs / MINUTE_MS} min`
    throw new RoomError(
      RoomErrorKind.invalid,
      `Cannot put off the alarm: it must be for ${LEAST_SHELVED_MS / MINUTE_MS} min to ${most}, or once, got ${minutes}`,
      'minutes',
    )
  }
  const { by } = input
  const untilMs = state.parts.clock() + untilIn
  const shelved = await act(state, alarm, { kind: 'shelve', by, untilMs, once: input.oneShot === true }, by)
  if (shelved.state !== AlarmState.shelved)
    throw conflict(`Cannot put off the alarm: it is ${shelved.state}, and calls nobody already`)
  return shelved
}

export async function unshelve(state: RoomState, id: string, by: string): Promise<Alarm> {
  const alarm = standing(state, id, 'bring back')
  if (alarm.state !== AlarmState.shelved)
    throw conflict(`Cannot bring back the alarm: it is not put off, it is ${alarm.state}`)
  return act(state, alarm, { kind: 'unshelve' }, by)
}

/** Takes a rule of a vessel out of service; answers with its alarm, which is listed until the rule is returned. */
export async function takeOutOfService(
  state: RoomState,
  vesselId: string,
  rule: RuleName,
  { by, forMs, why = '' }: OutInput,
): Promise<Alarm> {
  const vessel = state.vessel(vesselId)
  const known = vessel.memory.rules[rule].alarm
  // Sent again, until when and what for are said anew.
  const untilMs = forMs === undefined ? null : state.parts.clock() + forMs
  const isOtherwise = state.outOfService.set(state, vesselId, rule, { untilMs, why })
  if (known?.state === AlarmState.outOfService) {
    const alarm = { ...known, consequences: state.standing.get(known.id)?.consequences ?? [] }
    if (isOtherwise) state.setAlarm(alarm, false)
    return state.standing.get(known.id) ?? known
  }
  const [changed] = onVessel(state, vesselId, { kind: 'take-out', rule, by })
  await state.parts.store.settled()
  if (!changed) {
    state.outOfService.forget(state, vesselId, rule)
    throw conflict(`Cannot take ${rule} out of service: it watches no vessel`)
  }
  return state.standing.get(changed.alarm.id) ?? changed.alarm
}

export async function returnToService(
  state: RoomState,
  vesselId: string,
  rule: RuleName,
  by: string,
): Promise<Alarm> {
  const { alarm } = state.vessel(vesselId).memory.rules[rule]
  if (alarm?.state !== AlarmState.outOfService)
    throw conflict(`Cannot return ${rule} to service: it is not out of service`)
  state.outOfService.forget(state, vesselId, rule)
  const changed = onVessel(state, vesselId, { kind: 'put-back', rule, by })
  await state.parts.store.settled()
  return changed.find(({ alarm: { id } }) => id === alarm.id)?.alarm ?? alarm
}

/** Whoever returns a rule whose time out of service is over. */
const ITS_TIME = 'its time'

/** Returns the rules whose time out of service is over. Called about once a second. */
export function returnWhatIsOver(state: RoomState, nowMs: number): void {
  for (const { vesselId, rule } of state.outOfService.over(nowMs)) {
    state.outOfService.forget(state, vesselId, rule)
    const alarm = state.vessels.get(vesselId)?.memory.rules[rule].alarm
    if (alarm?.state === AlarmState.outOfService)
      onVessel(state, vesselId, { kind: 'put-back', rule, by: ITS_TIME })
  }
}

/** Work begins at a vessel: what it disturbs is suppressed for the time, again from now if it is already. */
export async function suppress(
  state: RoomState,
  vesselId: string,
  input: { reason: HushReason; forMs: number; by: string },
): Promise<Hush> {
  const { reason, forMs, by } = input
  if (!(forMs >= MINUTE_MS && forMs <= MOST_HUSH_MS)) {
    throw new RoomError(
      RoomErrorKind.invalid,
      `Cannot suppress alarms: it must be for 1 to ${MOST_HUSH_MS / MINUTE_MS} min, got ${forMs / MINUTE_MS}`,
      'minutes',
    )
  }
  const untilMs = state.parts.clock() + forMs
  onVessel(state, vesselId, { kind: 'hush', reason, untilMs, by })
  await state.parts.store.settled()
  const { hush } = state.vessel(vesselId).memory
  return hush ?? { reason, sinceMs: state.parts.clock(), untilMs, by }
}

/** The work is over before its time, or was over already. */
export async function endSuppression(state: RoomState, vesselId: string, by: string): Promise<void> {
  if (state.vessel(vesselId).memory.hush === null) return
  onVessel(state, vesselId, { kind: 'end-hush', by })
  await state.parts.store.settled()
}

/** An act as it is decided; when is told by the room's clock. */
type Timeless<Event> = Event extends unknown ? Omit<Event, 'atMs'> : never

function onVessel(state: RoomState, vesselId: string, what: Timeless<VesselAct>): readonly Transition[] {
  const act = { ...what, atMs: state.parts.clock() }
  const changed = judgeEvent(state, state.vessel(vesselId), act)
  note(state, WatchKind.act, { onVessel: act }, { atMs: act.atMs, vesselId })
  return changed
}

async function act(state: RoomState, alarm: Alarm, what: Act, by: string): Promise<Alarm> {
  const { vesselId, rule } = alarm
  let changed: readonly Transition[] = []
  if (vesselId !== null) changed = onVessel(state, vesselId, { ...what, rule, by })
  else if (isSystemAlarm(alarm)) changed = actOnSystemAlarm(state, alarm.rule, what)
  await state.parts.store.settled()
  return changed.findLast(transition => transition.alarm.id === alarm.id)?.alarm ?? alarm
}

function standing(state: RoomState, id: string, verb: string): Alarm {
  const alarm = state.standing.get(id)
  if (alarm) return alarm
  throw new RoomError(RoomErrorKind.notFound, `Cannot ${verb}: no standing alarm has the id ${id}`)
}

const conflict = (message: string) => new RoomError(RoomErrorKind.conflict, message)
