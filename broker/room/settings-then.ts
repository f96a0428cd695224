import { type Store, WatchKind } from '../store/contract.ts'
import type { RoomSettings } from './contract.ts'
import type { RoomState } from './state.ts'
import { lineOf, note } from './watch-log.ts'

/** What the room judged by from a moment on. Times are Unix ms. */
export interface SettingsThen {
  readonly fromMs: number
  readonly rules: RoomSettings['rules']
}

/** Changes within one span that are told; somebody who turns knobs all day has more. */
const MOST_CHANGES = 20

/** The settings in force over a span, from its beginning on. Of a time before anything was noted, what was noted first stands in. */
export async function settingsThen(
  state: RoomState,
  { fromMs, toMs }: { readonly fromMs: number; readonly toMs: number },
): Promise<SettingsThen[]> {
  const { store } = state.parts
  const kinds = [WatchKind.settings]
  const before = await store.watchLog({ fromMs: 0, toMs: fromMs + 1, kinds, limit: 1, newest: true })
  const within = await store.watchLog({ fromMs: fromMs + 1, toMs, kinds, limit: MOST_CHANGES })
  const rulesOf = (row: (typeof within)[number]) => {
    const line = lineOf(row, WatchKind.settings)
    // What an older version did not know yet it did not judge by.
    return line && { ...state.settings.rules, ...line.rules }
  }
  const known = [...before, ...within].flatMap(row => {
    const rules = rulesOf(row)
    return rules ? [{ fromMs: Math.max(fromMs, row.atMs), rules }] : []
  })
  if (before.length > 0) return known
  const [first] = await store.watchLog({ fromMs: 0, toMs: state.parts.clock() + 1, kinds, limit: 1 })
  return [{ fromMs, rules: (first && rulesOf(first)) ?? state.settings.rules }, ...known]
}

/** Writes down what the room judges by when it begins, unless that is what was written down last. */
export async function noteSettings(state: RoomState, store: Pick<Store, 'watchLog'>): Promise<void> {
  const { altitudeM, rules } = state.settings
  const nowMs = state.parts.clock()
  const [last] = await store.watchLog({
    fromMs: 0,
    toMs: nowMs + 1,
    kinds: [WatchKind.settings],
    limit: 1,
    newest: true,
  })
  if (last?.json !== JSON.stringify({ altitudeM, rules }))
    note(state, WatchKind.settings, { altitudeM, rules })
}
