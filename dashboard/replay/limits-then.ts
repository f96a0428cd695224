import type { Replay } from '../../broker/web/api/replay.ts'
import type { Settings } from '../../broker/web/api/schemas.ts'

/** The settings as they were, from one moment until another where they were changed; today's in all that draws no limit. */
export interface HeldSettings {
  readonly then: Settings
  readonly fromMs?: number
  readonly toMs?: number
}

/** One for each set of limits that was in force; a single one held all the time. */
export function settingsThen({ limits }: Pick<Replay, 'limits'>, today: Settings): HeldSettings[] {
  if (limits.length === 0) return [{ then: today }]
  return limits.map(({ from, waterTooHotC, waterTooCoolC, airLpmPerL, lightLx }, at) => {
    const next = limits[at + 1]
    const { rules } = today
    return {
      then: {
        ...today,
        rules: {
          ...rules,
          'water-too-hot': { ...rules['water-too-hot'], limit: waterTooHotC },
          'water-too-cool': { ...rules['water-too-cool'], limit: waterTooCoolC },
          'air-lost': { ...rules['air-lost'], limit: airLpmPerL },
          'light-out': { ...rules['light-out'], limit: lightLx },
        },
      },
      ...(at > 0 ? { fromMs: Date.parse(from) } : {}),
      ...(next ? { toMs: Date.parse(next.from) } : {}),
    }
  })
}

interface Held {
  readonly value: number
  readonly name: string
  readonly fromMs?: number
  readonly toMs?: number
}

/** What followed on the same is one: of settings that were changed in another place its name would stand twice. */
export function joined<Limit extends Held>(limits: readonly Limit[]): Limit[] {
  const out: Limit[] = []
  for (const limit of limits) {
    const at = out.findIndex(
      ({ name, value, toMs }) =>
        name === limit.name && value === limit.value && toMs !== undefined && toMs === limit.fromMs,
    )
    const before = out[at]
    if (!before) {
      out.push(limit)
      continue
    }
    out[at] = { ...before, toMs: limit.toMs ?? Infinity }
  }
  return out
}
