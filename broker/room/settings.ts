import { defaultRules } from '../rules/defaults.ts'
import type { RuleName } from '../rules/alarm.ts'
import type { RulesSettings } from '../rules/contract.ts'
import { MOST_SHELVED_MS } from '../rules/shelving.ts'
import type { Store } from '../store/contract.ts'
import type { RoomSettings } from './contract.ts'

const KEY = 'settings'

export const defaultSettings: RoomSettings = {
  temperatureUnit: 'C',
  retentionDays: 400,
  altitudeM: 0,
  shelveLimitMs: MOST_SHELVED_MS,
  rules: defaultRules,
}

/** Reads the settings; what an older version did not know yet has its default. */
export async function loadSettings(store: Pick<Store, 'document'>): Promise<RoomSettings> {
  const json = await store.document(KEY)
  if (json === undefined) return defaultSettings
  const kept = JSON.parse(json) as Partial<RoomSettings>
  return { ...defaultSettings, ...kept, rules: withDefaults(kept.rules ?? {}) }
}

export async function saveSettings(
  store: Pick<Store, 'keepDocument'>,
  settings: RoomSettings,
): Promise<void> {
  await store.keepDocument(KEY, JSON.stringify(settings))
}

function withDefaults(kept: Partial<RulesSettings>): RulesSettings {
  const names = Object.keys(defaultRules) as RuleName[]
  return Object.fromEntries(
    names.map(name => [name, { ...defaultRules[name], ...kept[name] }]),
  ) as unknown as RulesSettings
}
