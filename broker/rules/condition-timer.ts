/**
 * Turns what readings show into a condition that has lasted: on-delay, off-delay and deadband in one. It has no clock: every
 * step is told the time, and a delay ends at its exact due time however late one asks.
 */
export interface ConditionTimer {
  /** Whether the condition holds, delays counted. */
  readonly active: boolean
  /** Since when readings have shown the opposite of `active`, without a break; `null` when they do not. */
  readonly pendingSinceMs: number | null
  /** Since when nothing can be told while a delay runs; `null` when the newest reading told something. */
  readonly unknownSinceMs: number | null
}

/** What one reading shows. */
export const Sight = {
  /** Past the limit. */
  beyond: 'beyond',
  /** Within the deadband: neither past the limit nor safely back. */
  between: 'between',
  /** Back inside the limit by the deadband or more. */
  inside: 'inside',
  /** Nothing to be told from it: a bad quality, or no number. */
  unknown: 'unknown',
} as const
export type Sight = (typeof Sight)[keyof typeof Sight]

export interface Delays {
  readonly onDelayMs: number
  readonly offDelayMs: number
}

export const IDLE_TIMER: ConditionTimer = { active: false, pendingSinceMs: null, unknownSinceMs: null }

/** A running delay survives so long a stretch of readings that tell nothing, ms; after a longer one it starts anew. Own choice. */
export const UNKNOWN_BRIDGED_MS = 60_000

/**
 * Takes in what a reading shows. An unknown one neither starts nor ends anything, but no delay ends while the newest reading
 * is unknown: a fault never raises an alarm of its own accord, and never clears one. Returns the same timer when nothing changed.
 */
export function see(timer: ConditionTimer, sight: Sight, atMs: number): ConditionTimer {
  const { active, pendingSinceMs, unknownSinceMs } = timer
  if (sight === Sight.unknown) {
    if (pendingSinceMs === null || unknownSinceMs !== null) return timer
    return { active, pendingSinceMs, unknownSinceMs: atMs }
  }
  const opposite = active ? Sight.inside : Sight.beyond
  if (sight !== opposite) return pendingSinceMs === null ? timer : rest(active)
  if (pendingSinceMs === null) return { active, pendingSinceMs: atMs, unknownSinceMs: null }
  if (unknownSinceMs === null) return timer
  const bridged = atMs - unknownSinceMs <= UNKNOWN_BRIDGED_MS
  return { active, pendingSinceMs: bridged ? pendingSinceMs : atMs, unknownSinceMs: null }
}

/** When the running delay ends, Unix ms; `Infinity` when none runs or it waits for a reading that tells something. */
export function dueAt(timer: ConditionTimer, delays: Delays): number {
  if (timer.pendingSinceMs === null || timer.unknownSinceMs !== null) return Infinity
  return timer.pendingSinceMs + (timer.active ? delays.offDelayMs : delays.onDelayMs)
}

/** The timer at a time: flipped if its delay has ended by then. Returns the same timer when nothing changed. */
export function elapse(timer: ConditionTimer, atMs: number, delays: Delays): ConditionTimer {
  return dueAt(timer, delays) <= atMs ? rest(!timer.active) : timer
}

// In binary 29.4 - 0.3 is a hair below 29.1, and 29.1 + 0.3 a hair above 29.4: a value on an edge counts as on it.
const EDGE = 1e-9

/** What a value at its limit or above shows; `deadband` counts down from the limit. */
export function sightAtOrAbove(value: number | null, limit: number, deadband: number): Sight {
  if (value === null || !Number.isFinite(value)) return Sight.unknown
  if (value >= limit - EDGE) return Sight.beyond
  return value <= limit - deadband + EDGE ? Sight.inside : Sight.between
}

/** What a value below its limit shows; `deadband` counts up from the limit. */
export function sightBelow(value: number | null, limit: number, deadband: number): Sight {
  if (value === null || !Number.isFinite(value)) return Sight.unknown
  if (value < limit - EDGE) return Sight.beyond
  return value >= limit + deadband - EDGE ? Sight.inside : Sight.between
}

/** A condition that holds, to be judged anew: its on-delay runs from `atMs`. */
export function afresh(timer: ConditionTimer, atMs: number): ConditionTimer {
  return timer.active ? { active: false, pendingSinceMs: atMs, unknownSinceMs: null } : timer
}

/** An on-delay that runs, counted from `atMs` at the earliest. */
export function counted(timer: ConditionTimer, atMs: number): ConditionTimer {
  const { active, pendingSinceMs } = timer
  return active || pendingSinceMs === null || pendingSinceMs >= atMs
    ? timer
    : { ...timer, pendingSinceMs: atMs }
}

function rest(active: boolean): ConditionTimer {
  return active ? { active, pendingSinceMs: null, unknownSinceMs: null } : IDLE_TIMER
}
