import type { Course } from '../../broker/web/api/events.ts'
import type { Replay } from '../../broker/web/api/replay.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import { type CurveColumns, gapMs, growing } from '../curves/columns.ts'
import { type Curve, MEASURED } from '../curves/measured.ts'
import type { Hatched } from '../vessel/life.ts'

/** What one sensor measured, oldest first, ready to be asked for any moment. */
export interface Channel {
  readonly t: readonly number[]
  readonly columns: CurveColumns
  /** A silence longer than this is a gap, ms. */
  readonly gapMs: number
}

export interface Gap {
  readonly fromMs: number
  readonly toMs: number
}

/** A batch as it is looked at again: read once, then asked for moments. Times are Unix ms. */
export interface Recording {
  readonly replay: Replay
  readonly fromMs: number
  readonly toMs: number
  readonly channels: Readonly<Partial<Record<Curve, Channel>>>
  /** Stretches of at least some minutes without water readings. */
  readonly gaps: readonly Gap[]
}

/** A gap that is told as something that happened, ms: shorter ones are only drawn. Own choice. */
const TOLD_GAP_MS = 10 * 60_000

export function recordingOf(replay: Replay): Recording {
  const fromMs = Date.parse(replay.from)
  const toMs = Date.parse(replay.to)
  const channels: Partial<Record<Curve, Channel>> = {}
  for (const curve of MEASURED) {
    const columns = replay.channels[curve]
    if (!columns || columns.t.length === 0) continue
    // Fewer readings than were asked for come as they are: what is usual is found from their own steps.
    channels[curve] = {
      t: columns.t,
      columns: growing(columns),
      gapMs: gapMs(columns.t, usualStep(columns.t)),
    }
  }
  const gaps = channels.water ? gapsOf(channels.water, fromMs, toMs) : []
  return { replay, fromMs, toMs, channels, gaps: gaps.filter(gap => gap.toMs - gap.fromMs >= TOLD_GAP_MS) }
}

/** The middle step between readings, ms. */
function usualStep(t: readonly number[]): number {
  const steps = t.slice(1).map((at, index) => at - (t[index] ?? at))
  return steps.sort((a, b) => a - b)[steps.length >> 1] ?? 1000
}

/** The last place in rising times that is not later than a moment; -1 when all are. */
export function indexAt(t: readonly number[], atMs: number): number {
  let low = 0
  let high = t.length
  while (low < high) {
    const middle = (low + high) >> 1
    if ((t[middle] ?? Infinity) <= atMs) low = middle + 1
    else high = middle
  }
  return low - 1
}

/** What a sensor had said last at a moment, and since when it has been silent if that is too long ago. */
export interface Said {
  readonly value: number
  readonly atMs: number
  /** The moment lies in a gap. */
  readonly old: boolean
}

export function saidAt(channel: Channel | undefined, atMs: number): Said | null {
  if (!channel) return null
  const index = indexAt(channel.t, atMs)
  const at = channel.t[index]
  const value = channel.columns.mean[index]
  if (at === undefined || value === undefined) return null
  return { value, atMs: at, old: atMs - at > channel.gapMs }
}

/** Where nothing was measured between two moments, the ends included. */
export function gapsOf(
  { t, gapMs: least }: Pick<Channel, 't' | 'gapMs'>,
  fromMs: number,
  toMs: number,
): Gap[] {
  const gaps: Gap[] = []
  let before = fromMs
  for (const at of t) {
    if (at - before > least) gaps.push({ fromMs: before, toMs: at })
    before = Math.max(before, at)
  }
  if (toMs - before > least) gaps.push({ fromMs: before, toMs })
  return gaps
}

/** The batch that was open at a moment, Unix ms; of two the later one. */
export function batchAt<Of extends Pick<Batch, 'startedAt' | 'endedAt'>>(
  batches: readonly Of[],
  atMs: number,
): Of | undefined {
  return [...batches]
    .sort((a, b) => Date.parse(b.startedAt) - Date.parse(a.startedAt))
    .find(
      ({ startedAt, endedAt }) =>
        Date.parse(startedAt) <= atMs && (endedAt === null || atMs <= Date.parse(endedAt)),
    )
}

/** A column between its two neighbouring moments; `null` outside, and where there is nothing. */
function between(t: readonly number[], column: readonly (number | null)[], atMs: number): number | null {
  const index = indexAt(t, atMs)
  const low = column[index] ?? null
  if (low === null) return null
  const [from, to] = [t[index] ?? 0, t[index + 1]]
  const high = column[index + 1] ?? null
  if (to === undefined || high === null || to <= from) return low
  return low + ((high - low) * (atMs - from)) / (to - from)
}

/** How much had hatched at a moment, as it is known now. */
export function hatchedAt({ t, hatched }: Pick<Course, 't' | 'hatched'>, atMs: number): Hatched | null {
  const share = between(t, hatched.p50, atMs)
  if (share === null) return null
  const least = between(t, hatched.p10, atMs) ?? share
  const most = between(t, hatched.p90, atMs) ?? share
  return { least, share, most, umbrellas: umbrellasAt({ t, hatched }, atMs) }
}

/** An embryo hangs as an umbrella for about so long before it is free, h: within the hour or two that the handbooks leave it. From memory. */
const UMBRELLA_MS = 1.5 * 3_600_000

/** The share that hangs as umbrellas is what swims a little later and does not yet. */
function umbrellasAt({ t, hatched }: Pick<Course, 't' | 'hatched'>, atMs: number): number {
  const now = between(t, hatched.p50, atMs) ?? 0
  const soon = between(t, hatched.p50, Math.min(atMs + UMBRELLA_MS, t.at(-1) ?? atMs)) ?? now
  return Math.max(0, soon - now)
}
