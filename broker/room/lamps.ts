import { z } from 'zod'
import { WatchKind } from '../store/contract.ts'
import type { RoomState } from './state.ts'
import { note } from './watch-log.ts'

/** Where it is kept. */
export const LAMPS_KEY = 'lamps-that-heat'
const Kept = z.record(z.string(), z.boolean())

/** Remembers of which vessels the lamp was seen to be the heater, or not to be. */
export async function restoreLamps(state: RoomState): Promise<void> {
  const json = await state.parts.store.document(LAMPS_KEY)
  if (json === undefined) return
  const { data } = Kept.safeParse(JSON.parse(json))
  for (const [id, heats] of Object.entries(data ?? {})) {
    const vessel = state.vessels.get(id)
    if (vessel) vessel.lampHeats = vessel.lampHeatsKept = heats
  }
}

/** Keeps what was newly seen of the lamps. */
export function keepLamps(state: RoomState): void {
  const vessels = [...state.vessels.values()]
  if (vessels.every(({ lampHeats, lampHeatsKept }) => lampHeats === lampHeatsKept)) return
  for (const vessel of vessels) {
    const { lampHeats, lampHeatsKept, row } = vessel
    if (lampHeats === lampHeatsKept) continue
    vessel.lampHeatsKept = lampHeats
    if (lampHeats !== null) note(state, WatchKind.lamp, { heats: lampHeats }, { vesselId: row.id })
  }
  const seen = vessels.flatMap(({ row, lampHeats }) => (lampHeats === null ? [] : [[row.id, lampHeats]]))
  state.inBackground(
    'keeping what the lamps do',
    state.parts.store.keepDocument(LAMPS_KEY, JSON.stringify(Object.fromEntries(seen))),
  )
}
