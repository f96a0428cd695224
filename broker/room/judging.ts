import { judge } from '../rules/judge.ts'
import { encodeMemory } from '../rules/memory.ts'
import type { Transition, VesselEvent } from '../rules/contract.ts'
import type { RoomState } from './state.ts'
import type { VesselLive } from './vessel-live.ts'

/**
 * Lets the rules judge one event of one vessel, tells the alarms that changed at once, and keeps them with the commit at
 * the end of this turn: the alarm never waits for the disk.
 */
export function judgeEvent(state: RoomState, vessel: VesselLive, event: VesselEvent): readonly Transition[] {
  const { memory, transitions } = judge(
    vessel.memory,
    vessel.facts(state.settings.altitudeM),
    event,
    state.settings.rules,
    state.parts.newId,
  )
  vessel.memory = memory
  if (transitions.length === 0) return transitions
  for (const { alarm, raised } of transitions) {
    state.setAlarm(alarm, raised)
    state.inBackground('keeping an alarm', state.parts.store.keepAlarm(alarm))
  }
  keepMemory(state, vessel)
  return transitions
}

/** Keeps the rules' memory if it has changed since it was last kept. */
export function keepMemory(state: RoomState, vessel: VesselLive): void {
  if (vessel.memory === vessel.memoryKept) return
  vessel.memoryKept = vessel.memory
  const json = encodeMemory(vessel.memory)
  state.inBackground(
    'keeping the rules’ memory',
    state.parts.store.keepRuleMemory({ vesselId: vessel.row.id, json }),
  )
}
