import type { SilentMoment, SilentTogether } from '../../rules/system/contract.ts'

export interface HeardDevice {
  readonly name: string
  readonly lastHeardAtMs: number | null
  /** How far apart it is usually heard, ms; `null` while that is not known. */
  readonly usualGapMs: number | null
  /** The names of the vessels that it watches. */
  readonly vessels: readonly string[]
  /** Whether a batch is in one of them; left out for yes. */
  readonly inUse?: boolean
}

/** What is known from before this look. */
export interface SilentBefore {
  /** What has been told of and stands. */
  readonly told?: readonly SilentMoment[]
  /** When any device was heard last before the service began, Unix ms; `null` or left out for never. */
  readonly heardBeforeMs?: number | null
  /** How long those must have been silent that follow what is told of, ms. */
  readonly leastMs?: number
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

interface Seen extends HeardDevice {
  /** From when its silence counts, Unix ms; `null` for one that was silent already when the service began, or was never heard. */
  readonly heardMs: number | null
  readonly isQuiet: boolean
  /** It was not heard since the service began. */
  readonly atStart: boolean
}

/**
 * The devices that fell silent at the same moment, as far as that is not long over: at first the largest such group, then that with all
 * that joined it or followed it since. Only devices that watch a vessel count, and a batch must be in one of those that are silent: what is put
 * away between two batches calls nobody. A device that was well when the service stopped counts as heard when it began again.
 */
export function silentTogether(
  devices: Iterable<HeardDevice>,
  startedAtMs: number,
  nowMs: number,
  { told = [], heardBeforeMs = null, leastMs = 0 }: SilentBefore = {},
): SilentTogether | null {
  const all = new Map<string, Seen>()
  for (const device of devices)
    if (device.vessels.length > 0) all.set(device.name, seen(device, startedAtMs, nowMs, heardBeforeMs))
  const known = told
    .map(moment => ({ ...moment, devices: moment.devices.filter(name => all.has(name)) }))
    .filter(moment => moment.devices.length > 0)
  const ofThem = new Set(known.flatMap(moment => moment.devices))
  const others = [...all.values()].filter(({ name }) => !ofThem.has(name))
  let free = others.filter((each): each is Quiet => each.isQuiet && each.heardMs !== null)
  const moments: SilentMoment[] = known.map(moment => {
    const members = moment.devices.flatMap(name => all.get(name) ?? [])
    const joining = free.filter(each => joins(each, moment, members))
    free = free.filter(each => !joining.includes(each))
    return { ...moment, devices: [...moment.devices, ...joining.map(({ name }) => name)] }
  })
  const next = largest(free)
  if (next && (moments.length === 0 || nowMs - next.sinceMs >= leastMs)) moments.push(next)
  if (moments.length === 0) return null
  const members = moments.flatMap(moment => moment.devices.flatMap(name => all.get(name) ?? []))
  // What is told of as silent is so until it is heard: that the service began anew changes nothing.
  const silent = members.filter(({ name, isQuiet, atStart }) => isQuiet || (atStart && ofThem.has(name)))
  if (!silent.some(({ inUse = true }) => inUse)) return null
  return {
    moments,
    silentStill: silent.length,
    vessels: [...new Set(silent.flatMap(({ vessels }) => vessels))].sort(byName),
    heardStill: others.filter(({ isQuiet, lastHeardAtMs }) => !isQuiet && lastHeardAtMs !== null).length,
  }
}

type Quiet = Seen & { readonly heardMs: number }

function seen(device: HeardDevice, startedAtMs: number, nowMs: number, heardBeforeMs: number | null): Seen {
  const { lastHeardAtMs, usualGapMs } = device
  const atStart = lastHeardAtMs === null || lastHeardAtMs < startedAtMs
  const wasWell =
    lastHeardAtMs !== null && heardBeforeMs !== null && heardBeforeMs - lastHeardAtMs < PACE_UNKNOWN_MS
  const heardMs = atStart ? (wasWell ? startedAtMs : null) : lastHeardAtMs
  const quietMs = usualGapMs === null ? PACE_UNKNOWN_MS : paceMs(device, QUIET_MS)
  return { ...device, atStart, heardMs, isQuiet: heardMs === null || nowMs - heardMs >= quietMs }
}

/** Of those that may have fallen silent at the same moment the most, and when the last of them was heard. */
function largest(silent: readonly Quiet[]): SilentMoment | undefined {
  const sorted = [...silent].sort((a, b) => b.heardMs - a.heardMs)
  let best: Quiet[] = []
  for (const [at, { heardMs }] of sorted.entries()) {
    const group = sorted.slice(at).filter(other => heardMs - other.heardMs <= paceMs(other, TOGETHER_MS))
    if (group.length > best.length) best = group
  }
  const [newest] = best
  if (newest === undefined || best.length < 2) return undefined
  return {
    devices: best.map(({ name }) => name),
    sinceMs: newest.heardMs,
    ...(best.every(({ atStart }) => atStart) && { atStart: true }),
  }
}

/** Whether a device fell silent at a moment that is told of already, and it only shows now. */
function joins(device: Quiet, { sinceMs }: SilentMoment, members: readonly Seen[]): boolean {
  const { heardMs } = device
  if (heardMs <= sinceMs) return sinceMs - heardMs <= paceMs(device, TOGETHER_MS)
  return members.every(
    member =>
      !member.isQuiet || member.heardMs === null || heardMs - member.heardMs <= paceMs(member, TOGETHER_MS),
  )
}

/** As people count them: Cone 2 before Cone 10. */
const byName = (a: string, b: string): number => a.localeCompare(b, 'en', { numeric: true })
