import type { Role, Sample } from '../store/contract.ts'
import type { RoomState } from './state.ts'
import type { VesselLive } from './vessel-live.ts'

/** How far back what is followed of each role reaches, ms: as far as the watches remember. */
const BACK_MS: Partial<Record<Role, number>> = {
  water: 4 * 3_600_000,
  air: 10 * 3_600_000,
  level: 10 * 3_600_000,
}

/** After a start, and when another channel takes a role: follows anew what was measured before. */
export async function followAgain(
  state: RoomState,
  vessel: VesselLive,
  roles: readonly Role[],
): Promise<void> {
  const nowMs = state.parts.clock()
  for (const role of roles) {
    const backMs = BACK_MS[role]
    if (backMs === undefined) continue
    const sources = state.routes.sources(vessel.row.id, role, nowMs - backMs, Number.MAX_SAFE_INTEGER)
    if (sources.length === 0) continue
    const samples: Sample[] = await state.parts.store.samples(sources)
    vessel.forget(role)
    for (const sample of samples) vessel.follow(role, sample, state.settings.rules)
  }
}
