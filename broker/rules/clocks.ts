import { Quality } from '../intake/reading.ts'
import type { VesselEvent } from './contract.ts'
import type { Clocks } from './memory.ts'
import { notePace } from './pace.ts'
import type { JudgedRole } from './rule.ts'

/**
 * Whether an event comes too late to be judged: a reading older than the newest of its role, or a time that is no number.
 * Written so that NaN, for "never", is older than everything.
 */
export function isLate(clocks: Clocks, event: VesselEvent): boolean {
  if (!Number.isFinite(event.atMs)) return true
  return event.kind === 'reading' && event.atMs < newestAt(clocks, event.role)
}

/** Moves the clocks on, in place. */
export function moveOn(clocks: Clocks, event: VesselEvent): void {
  const { kind, atMs } = event
  if (!(clocks.nowMs >= atMs)) clocks.nowMs = atMs
  if (kind !== 'reading' && kind !== 'heard') return
  if (!(clocks.heardAtMs >= atMs)) clocks.heardAtMs = atMs
  // A reading may be older than its coming: how often it comes is what tells a silence.
  notePace(clocks.pace.heard, clocks.nowMs)
  if (kind === 'heard') return
  const { role, value, quality } = event
  notePace(clocks.pace[role], clocks.nowMs)
  const good = quality === Quality.good && value !== null && Number.isFinite(value)
  if (role === 'water') {
    clocks.waterAtMs = atMs
    clocks.waterQuality = quality
    if (good) clocks.water = value
  } else if (role === 'air') {
    clocks.airAtMs = atMs
    if (good) clocks.air = value
  } else if (role === 'light') {
    clocks.lightAtMs = atMs
    if (good) clocks.light = value
  } else {
    clocks.levelAtMs = atMs
    if (good) clocks.level = value
  }
}

/** The newest good value of a role; `null` when there never was one. */
export function newestValue(clocks: Clocks, role: JudgedRole | null): number | null {
  const value = role === null ? NaN : clocks[role]
  return Number.isNaN(value) ? null : value
}

/** When the newest reading of a role was taken, Unix ms; NaN when there never was one. */
export function newestAt(clocks: Clocks, role: JudgedRole): number {
  if (role === 'water') return clocks.waterAtMs
  if (role === 'air') return clocks.airAtMs
  return role === 'light' ? clocks.lightAtMs : clocks.levelAtMs
}
