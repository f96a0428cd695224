import type { SilentTogether } from '../../rules/system/contract.ts'

export interface HeardDevice {
  readonly name: string
  readonly lastHeardAtMs: number | null
  /** How far apart it is usually heard, ms; `null` while that is not known. */
  readonly usualGapMs: number | null
  /** The names of the vessels that it watches. */
  readonly vessels: readonly string[]
}

/**
 * Devices that lose their power at once were heard last within one sampling of each other, ms; those that speak more seldom within
 * their own usual gap: whichever spoke last, the next word of none of the others was due by then.
 */
const TOGETHER_MS = 60_000
/** Not heard for so long, a device may be silent, ms: most send several times as often. */
const QUIET_MS = 70_000
/** One that speaks seldom may be once this share of its usual gap is over, and one whose pace is not known yet after so long, ms. Own choices. */
const OF_USUAL = 1.25
const PACE_UNKNOWN_MS = 150_000

const paceMs = ({ usualGapMs }: HeardDevice, leastMs: number): number =>
  Math.max(leastMs, OF_USUAL * (usualGapMs ?? 0))

/**
 * The largest group of devices that may have fallen silent at the same moment and have been silent since. Only devices that watch a vessel
 * count, and only those that were heard since the service began: before, nobody listened.
 */
export function silentTogether(
  devices: Iterable<HeardDevice>,
  startedAtMs: number,
  nowMs: number,
): SilentTogether | null {
  const silent: (HeardDevice & { readonly lastHeardAtMs: number })[] = []
  let heardStill = 0
  for (const device of devices) {
    const { lastHeardAtMs, usualGapMs, vessels } = device
    if (vessels.length === 0 || lastHeardAtMs === null || lastHeardAtMs < startedAtMs) continue
    const quietMs = usualGapMs === null ? PACE_UNKNOWN_MS : paceMs(device, QUIET_MS)
    if (nowMs - lastHeardAtMs < quietMs) heardStill++
    else silent.push({ ...device, lastHeardAtMs })
  }
  if (silent.length < 2) return null
  silent.sort((a, b) => b.lastHeardAtMs - a.lastHeardAtMs)
  let best: typeof silent = []
  for (const [at, { lastHeardAtMs }] of silent.entries()) {
    const group = silent
      .slice(at)
      .filter(other => lastHeardAtMs - other.lastHeardAtMs <= paceMs(other, TOGETHER_MS))
    if (group.length > best.length) best = group
  }
  if (best.length < 2) return null
  return {
    devices: best.map(({ name }) => name),
    vessels: [...new Set(best.flatMap(({ vessels }) => vessels))].sort(byName),
    sinceMs: best[0]?.lastHeardAtMs ?? nowMs,
    heardStill,
  }
}

/** As people count them: Cone 2 before Cone 10. */
const byName = (a: string, b: string): number => a.localeCompare(b, 'en', { numeric: true })
