import { correctOrNull } from '../hatch/calibration/correct.ts'
import type { AssignmentRow, Role } from '../store/contract.ts'
import { type VesselView } from './views.ts'
import { RoomError, RoomErrorKind, type ChannelChange, type ProbeCorrection } from './contract.ts'
import { ROLE_NAMED } from './fitting-channel.ts'
import { followAgain } from './follow-again.ts'
import { rebuildDevelopment } from './development-rebuild.ts'
import { ROLES } from './roles.ts'
import type { RoomState } from './state.ts'
import type { VesselLive } from './vessel-live.ts'

/**
 * Gives device channels to a vessel's roles, from now on. A channel that never belonged to a vessel brings its whole past
 * along when the role never had another one: whoever plugs a device in and assigns it an hour later sees that hour too.
 * A new correction for a channel that stays closes its row and opens another, so that what was shown stays explained. A channel that
 * comes from elsewhere is set right as it was calibrated last.
 */
export async function assignChannels(
  state: RoomState,
  id: string,
  change: ChannelChange,
): Promise<VesselView> {
  const vessel = state.vessel(id)
  const nowMs = state.parts.clock()
  const wanted = ROLES.flatMap(role => {
    const assignment = wantedFor(state, vessel, role, change)
    return assignment === undefined ? [] : [{ role, assignment }]
  })
  refuseTwice(vessel, wanted)

  const written: Promise<void>[] = []
  const put = (row: AssignmentRow): void => {
    state.routes.put(row)
    written.push(state.parts.store.keepAssignment(row))
  }
  const close = (row: AssignmentRow): void => {
    put({ ...row, toMs: nowMs })
    state.displace(row)
  }
  const told = new Set([vessel])
  const changed: Role[] = []
  for (const { role, assignment } of wanted) {
    const before = vessel.channels[role]
    if (before && assignment && sameChannel(before, assignment) && sameCorrection(before, assignment))
      continue
    changed.push(role)
    if (before) close(before)
    vessel.latest[role] = null
    if (!assignment) continue
    const elsewhere = state.routes.current(assignment.device, assignment.channel)
    if (elsewhere) {
      const other = state.vessels.get(elsewhere.vesselId)
      if (other) {
        told.add(other)
        other.latest[elsewhere.role] = null
      }
      close(elsewhere)
    }
    const row: AssignmentRow = {
      id: state.parts.newId(),
      vesselId: vessel.row.id,
      role,
      ...assignment,
      fromMs: firstMoment(state, vessel, role, assignment, nowMs),
      toMs: null,
    }
    put(row)
    state.place(row)
    adoptNewest(state, vessel, row)
  }
  // Set to what it is already: nothing that was followed starts anew.
  if (changed.length === 0) return vessel.view()
  await Promise.all(written)
  await followAgain(state, vessel, changed)
  for (const each of told) {
    await rebuildDevelopment(state, each)
    state.tell({ kind: 'vessel', vessel: each.view() })
  }
  for (const device of state.devices.values()) device.changed = true
  return vessel.view()
}

type Wanted = ({ device: string; channel: string } & ProbeCorrection) | null

/** What the change asks for a role; `undefined` leaves it as it is. */
function wantedFor(
  state: RoomState,
  vessel: VesselLive,
  role: Role,
  change: ChannelChange,
): Wanted | undefined {
  const before = vessel.channels[role]
  const asked = change.channels[role]
  const offset = change.offsets[role]
  const correction = change.corrections?.[role] ?? (offset === undefined ? undefined : { offset })
  if (asked === null) return null
  const channel = asked ?? (correction !== undefined ? before : undefined)
  if (channel === undefined) return undefined
  if (channel === null) {
    throw new RoomError(
      RoomErrorKind.invalid,
      `Cannot set an offset: ${role} has no channel yet`,
      `offsets.${role}`,
    )
  }
  const { device, channel: name } = channel
  const kept = before && sameChannel(before, channel) ? before : state.correctionOf(device, name)
  return { device, channel: name, ...correctionIn(correction ?? kept ?? { offset: 0 }) }
}

function refuseTwice(vessel: VesselLive, wanted: readonly { role: Role; assignment: Wanted }[]): void {
  const after = {
    ...vessel.channels,
    ...Object.fromEntries(wanted.map(({ role, assignment }) => [role, assignment])),
  }
  const seen = new Map<string, Role>()
  for (const role of ROLES) {
    const channel = after[role]
    if (!channel) continue
    const key = `${channel.device}/${channel.channel}`
    const other = seen.get(key)
    if (other) {
      // Said where something was changed, which may be the other one of the two.
      const before = vessel.channels[role]
      const stood = before !== null && sameChannel(before, channel)
      const [wrong, as] = stood ? [other, role] : [role, other]
      throw new RoomError(
        RoomErrorKind.invalid,
        `Cannot use one channel twice: ${key} is already ${ROLE_NAMED[as]}`,
        wrong,
      )
    }
    seen.set(key, role)
  }
}

function firstMoment(
  state: RoomState,
  vessel: VesselLive,
  role: Role,
  to: NonNullable<Wanted>,
  nowMs: number,
): number {
  const roleHadOne = state.routes.of(vessel.row.id).some(row => row.role === role)
  return roleHadOne || state.routes.everAssigned(to.device, to.channel) ? nowMs : 0
}

/** Shows the channel's newest value at once, if it falls within the assignment. */
function adoptNewest(state: RoomState, vessel: VesselLive, row: AssignmentRow): void {
  const newest = state.devices.get(row.device)?.newest(row.channel)
  if (!newest || newest.atMs < row.fromMs) return
  vessel.latest[row.role] = { ...newest, value: correctOrNull(newest.value, row) }
}

function correctionIn({ offset, gain = 1, uncertainty }: ProbeCorrection): ProbeCorrection {
  return { offset, ...(gain === 1 ? {} : { gain }), ...(uncertainty === undefined ? {} : { uncertainty }) }
}

function sameCorrection(a: ProbeCorrection, b: ProbeCorrection): boolean {
  return a.offset === b.offset && (a.gain ?? 1) === (b.gain ?? 1) && a.uncertainty === b.uncertainty
}

function sameChannel(
  a: { device: string; channel: string },
  b: { device: string; channel: string },
): boolean {
  return a.device === b.device && a.channel === b.channel
}
