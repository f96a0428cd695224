import { AHEAD_MS } from '../intake/place.ts'
import { setBackMemory } from '../rules/set-back.ts'
import type { VesselMemory } from '../rules/memory.ts'
import type { AssignmentRow } from '../store/contract.ts'
import { ROLES } from './roles.ts'
import type { RoomState } from './state.ts'

/** Less than this is a time server's small correction, ms: for so short a while readings may count as late. */
const NOTICED_MS = 1000

/**
 * To be called at each pack and each look: notices that the clock was set back, and takes everything that is remembered of now
 * along. Otherwise the readings of the hours that come again would all be older than the newest, and no alarm would sound.
 *
 * Set ahead, nothing is moved: a machine that slept looks the same, and there the time has truly passed. Alarms are then
 * called early rather than late.
 */
export function noticeSetBack(state: RoomState, nowMs: number): void {
  const byMs = nowMs - state.newestNowMs
  if (!(byMs < 0)) state.newestNowMs = nowMs
  if (!(byMs < -NOTICED_MS)) return
  state.newestNowMs = nowMs
  state.parts.logger.warn({ byMs }, 'the clock was set back; what is remembered is set back with it')
  state.system.setBack(byMs)
  for (const device of state.devices.values()) device.setBack(byMs)
  for (const vessel of state.vessels.values()) {
    vessel.setBack(byMs)
    vessel.outOfOrder = vessel.batch !== null
  }
  assignFromNow(state, nowMs)
}

/** Rules' memory that a clock wrote which was ahead of this one: the service was stopped while the clock was set back. */
export function notAhead(memory: VesselMemory, nowMs: number): VesselMemory {
  const aheadMs = memory.clocks.nowMs - nowMs
  // A device whose clock is ahead may have told so much by right.
  // One ms more: what was measured before the stop was not measured at the start.
  return aheadMs > AHEAD_MS ? setBackMemory(memory, -aheadMs - 1) : memory
}

/** What was assigned at a time that is still to come is assigned now: else its readings would belong to no vessel till then. */
export function assignFromNow(state: RoomState, nowMs: number): void {
  const ahead: AssignmentRow[] = [...state.vessels.values()].flatMap(vessel =>
    ROLES.flatMap(role => vessel.channels[role] ?? []).filter(({ fromMs }) => fromMs > nowMs),
  )
  for (const row of ahead) {
    const now = { ...row, fromMs: nowMs }
    state.routes.put(now)
    state.place(now)
    state.inBackground('keeping an assignment', state.parts.store.keepAssignment(now))
  }
}
