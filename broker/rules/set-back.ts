import type { VesselMemory } from './memory.ts'
import { makeMemory } from './memory.ts'

/** Times that name an occurrence to others, or are somebody's own statement: they stay as they were told. */
const STAYS: ReadonlySet<string> = new Set([
  'raisedAtMs',
  'announcedAtMs',
  'clearedAtMs',
  'saidAtMs',
  'outUntilMs',
  'batchStartedAtMs',
])

/**
 * What the rules remember of one vessel after the clock was set back: each time in it moves along, so that a delay, a silence or
 * a shelf lasts as long as it was to. Without it every reading of the hours that come again would count as late, and none
 * would be judged.
 * @param byMs Below 0: by how much the clock was set back.
 */
export function setBackMemory(
  { vesselId, clocks, batchStartedAtMs, hush, rules }: VesselMemory,
  byMs: number,
) {
  return makeMemory({
    vesselId,
    batchStartedAtMs,
    clocks: timesMoved(clocks, byMs),
    hush: timesMoved(hush, byMs),
    rules: timesMoved(rules, byMs),
  })
}

/** The same of any plain value: numbers whose name ends in `Ms` are times. */
export function timesMoved<T>(value: T, byMs: number): T {
  if (Array.isArray(value)) return value.map((each: unknown) => timesMoved(each, byMs)) as T
  if (typeof value !== 'object' || value === null) return value
  const moved = Object.entries(value).map(([name, each]: [string, unknown]) => [
    name,
    typeof each === 'number' && name.endsWith('Ms') && !STAYS.has(name)
      ? each + byMs
      : timesMoved(each, byMs),
  ])
  return Object.fromEntries(moved) as T
}
