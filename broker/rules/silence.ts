import type { RuleSettings, VesselFacts } from './contract.ts'
import { lightOut } from './light-out.ts'
import type { Clocks } from './memory.ts'
import { noPace, silentAfter } from './pace.ts'
import type { JudgedRole } from './rule.ts'
import { SilentPart } from './silent-part.ts'

/** What is silent at the moment of an announcement. */
export interface Silence {
  /** Nothing at all is heard from the vessel's devices. */
  readonly whole: boolean
  /** The assigned channels that bring no reading while a device is heard; none when the silence is whole. */
  readonly channels: readonly JudgedRole[]
  /** How long nothing of what is named has come, ms. */
  readonly namedMs: number
  /** How long the longest silence has lasted, ms. */
  readonly longestMs: number
  /** How often what is named usually comes, ms, where that is so seldom that it was waited for longer than is set; else 0. */
  readonly usualMs: number
  /** How long that was waited for, ms; else 0. */
  readonly waitedMs: number
}

const ROLES: readonly JudgedRole[] = ['water', 'air', 'light', 'level']
const SINCE = {
  water: 'waterSinceMs',
  air: 'airSinceMs',
  light: 'lightSinceMs',
  level: 'levelSinceMs',
} as const

/**
 * How long is silence, ms: as long as is set, and for what usually comes more seldom as long as two of its readings were missed. A
 * device that speaks each five minutes is not silent after three.
 */
function silenceMs(setting: RuleSettings, { pace }: Clocks, part: JudgedRole | 'heard'): number {
  return Math.max(setting.limit * 1000, silentAfter(pace[part]))
}

/**
 * When the first silence becomes too long, Unix ms: that of the devices or that of one assigned channel, whatever the quality of
 * its readings. Each is counted from the newest of the last that came, the watch's beginning and, for a channel, its assignment.
 */
export function silentFrom(
  watchedSinceMs: number | null,
  clocks: Clocks,
  facts: VesselFacts,
  setting: RuleSettings,
): number {
  const sinceMs = watchedSinceMs ?? Infinity
  const due = (role: JudgedRole) => countedFrom(clocks, role, sinceMs) + silenceMs(setting, clocks, role)
  const { water, air, light, level = false } = facts.assigned
  let from = later(clocks.heardAtMs, sinceMs) + silenceMs(setting, clocks, 'heard')
  if (water) from = Math.min(from, due('water'))
  if (air) from = Math.min(from, due('air'))
  if (level) from = Math.min(from, due('level'))
  // What was due before light's hours ended has been told once the clock is past them.
  const lightUntilMs = lightOut.watchedUntilMs(facts)
  if (light && !(clocks.nowMs >= lightUntilMs)) {
    const dark = due('light')
    if (dark < lightUntilMs) from = Math.min(from, dark)
  }
  return from
}

/**
 * Whether all that is watched has been heard within the limit before `nowMs`. Nothing but what really came counts here: a silence
 * is over when the channel is heard, not when counting begins anew.
 */
export function isAllHeard(
  clocks: Clocks,
  facts: VesselFacts,
  setting: RuleSettings,
  nowMs: number,
): boolean {
  const { water, air, light, level = false } = facts.assigned
  const stale = (part: JudgedRole | 'heard') => nowMs - silenceMs(setting, clocks, part)
  return (
    clocks.heardAtMs > stale('heard') &&
    (!water || clocks.waterAtMs > stale('water')) &&
    (!air || clocks.airAtMs > stale('air')) &&
    (!level || clocks.levelAtMs > stale('level')) &&
    (!light || clocks.lightAtMs > stale('light') || nowMs >= lightOut.watchedUntilMs(facts))
  )
}

/**
 * What is silent at `atMs`. A device that dies is heard last a moment after its readings were taken, and its channels end within a
 * moment of each other: so whatever has brought nothing for half the limit is named with what is silent for all of it.
 */
export function silenceAt(
  watchedSinceMs: number | null,
  clocks: Clocks,
  facts: VesselFacts,
  setting: RuleSettings,
  atMs: number,
): Silence {
  const sinceMs = watchedSinceMs ?? atMs
  const halfMs = (part: JudgedRole | 'heard') => silenceMs(setting, clocks, part) / 2
  const unheardMs = atMs - later(clocks.heardAtMs, sinceMs)
  const ages = ROLES.filter(role => counts(role, facts, atMs)).map(
    role => [role, atMs - countedFrom(clocks, role, sinceMs)] as const,
  )
  const longestMs = Math.max(unheardMs, ...ages.map(([, ms]) => ms))
  const slowest = (parts: readonly (JudgedRole | 'heard')[]) => {
    const slow = parts.map(part => clocks.pace[part]).filter(pace => silentAfter(pace) > setting.limit * 1000)
    const [pace] = slow.sort((a, b) => b.usual - a.usual)
    return { usualMs: pace?.usual ?? 0, waitedMs: pace ? silentAfter(pace) : 0 }
  }
  if (unheardMs >= halfMs('heard'))
    return { whole: true, channels: [], namedMs: unheardMs, longestMs, ...slowest(['heard']) }
  const silent = ages.filter(([role, ms]) => ms >= halfMs(role))
  const channels = silent.map(([role]) => role)
  const namedMs = Math.min(longestMs, ...silent.map(([, ms]) => ms))
  return { whole: false, channels, namedMs, longestMs, ...slowest(channels) }
}

/** What a silence is made of. */
export function partsOf({ whole, channels }: Silence): readonly SilentPart[] {
  return whole ? [SilentPart.whole] : channels
}

/**
 * When a silence that is told of becomes that of one sensor more, or of the devices as a whole, Unix ms; `Infinity` when it cannot.
 */
export function moreSilentFrom(
  told: readonly SilentPart[],
  watchedSinceMs: number | null,
  clocks: Clocks,
  facts: VesselFacts,
  setting: RuleSettings,
): number {
  if (told.includes(SilentPart.whole)) return Infinity
  const sinceMs = watchedSinceMs ?? Infinity
  let from = later(clocks.heardAtMs, sinceMs) + silenceMs(setting, clocks, 'heard')
  for (const role of ROLES) {
    if (told.includes(role)) continue
    const silentMs = countedFrom(clocks, role, sinceMs) + silenceMs(setting, clocks, role)
    if (counts(role, facts, silentMs)) from = Math.min(from, silentMs)
  }
  return from
}

/** Whether anything is silent at `atMs` that fell silent later than `sinceMs`. */
export function fellSilentSince(
  sinceMs: number,
  watchedSinceMs: number | null,
  clocks: Clocks,
  facts: VesselFacts,
  setting: RuleSettings,
  atMs: number,
): boolean {
  const fromMs = watchedSinceMs ?? Infinity
  const dueMs = [
    later(clocks.heardAtMs, fromMs) + silenceMs(setting, clocks, 'heard'),
    ...ROLES.filter(role => counts(role, facts, atMs)).map(
      role => countedFrom(clocks, role, fromMs) + silenceMs(setting, clocks, role),
    ),
  ]
  return dueMs.some(silentMs => silentMs > sinceMs && silentMs <= atMs)
}

/** Notes from when each assigned channel is watched, in place: one that is new has the whole limit to bring its first reading. */
export function noteAssigned(clocks: Clocks, { assigned }: VesselFacts, nowMs: number): void {
  // Another channel has another pace.
  for (const role of ROLES)
    if (assigned[role] !== true && !Number.isNaN(clocks[SINCE[role]])) clocks.pace[role] = noPace()
  clocks.waterSinceMs = assignedSince(assigned.water, clocks.waterSinceMs, nowMs)
  clocks.airSinceMs = assignedSince(assigned.air, clocks.airSinceMs, nowMs)
  clocks.lightSinceMs = assignedSince(assigned.light, clocks.lightSinceMs, nowMs)
  clocks.levelSinceMs = assignedSince(assigned.level ?? false, clocks.levelSinceMs, nowMs)
}

function assignedSince(isAssigned: boolean, sinceMs: number, nowMs: number): number {
  if (!isAssigned) return NaN
  return Number.isNaN(sinceMs) ? nowMs : sinceMs
}

function counts(role: JudgedRole, facts: VesselFacts, atMs: number): boolean {
  return facts.assigned[role] === true && (role !== 'light' || atMs < lightOut.watchedUntilMs(facts))
}

function countedFrom(clocks: Clocks, role: JudgedRole, sinceMs: number): number {
  if (role === 'water') return later(clocks.waterAtMs, later(clocks.waterSinceMs, sinceMs))
  if (role === 'air') return later(clocks.airAtMs, later(clocks.airSinceMs, sinceMs))
  if (role === 'light') return later(clocks.lightAtMs, later(clocks.lightSinceMs, sinceMs))
  return later(clocks.levelAtMs, later(clocks.levelSinceMs, sinceMs))
}

/** The later of the two; the second when the first is NaN, for "never". */
function later(maybeMs: number, ms: number): number {
  return maybeMs > ms ? maybeMs : ms
}
