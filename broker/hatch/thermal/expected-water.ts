import type { WaterSample } from '../contract.ts'
import { HOUR_MS } from '../units.ts'

/** What the water is expected to be at a moment: its middle, and the standard deviation of that expectation, °C. */
export interface WaterLevel {
  readonly levelC: number
  readonly spreadC: number
}

/**
 * What the water is expected to do from now on. Asked by time, so that a level held, a planned temperature and a fitted
 * response to lamp and room all stand behind it. The spread is that of the level as a whole: water that turns out warmer
 * than expected is warmer throughout.
 */
export interface ExpectedWater {
  readonly basis: 'measured' | 'planned'
  at(atMs: number): WaterLevel
}

/** How far back readings tell what the water will do, ms. Own choice: a vessel of some litres settles within hours. */
export const RECENT_MS = 3 * HOUR_MS
/** The level is the median of this newest part, ms. */
const LEVEL_MS = HOUR_MS
/** Readings are first gathered into so long pieces, each giving its mean, so that dense hours do not outweigh sparse ones. */
const PIECE_MS = 5 * 60_000
/** A level is never known better than the probe: ±0.5 °C (DS18B20 datasheet), taken as two standard deviations. */
const PROBE_SPREAD_C = 0.25
/** How well a keeper's plan is kept when nothing is measured, °C. Own choice. */
const PLANNED_SPREAD_C = 1.5
/** What a level loses in certainty with each hour that nothing was heard of it, °C. Own choice. */
const SPREAD_PER_SILENT_HOUR_C = 0.25
/** Turns a median absolute deviation into a standard deviation for normal scatter. */
const MAD_TO_SD = 1.4826

/**
 * Expects the water to stay as it was in the newest hour; it is the less sure of it the more the recent hours scattered, the
 * further they moved, the fewer of them there are, and the longer ago they ended. With nothing measured the water is
 * expected at `plannedC`.
 *
 * `recent` is in the order of time and may reach further back than is used; samples that are no number, or newer than `nowMs`,
 * are passed over.
 */
export function expectWater(recent: readonly WaterSample[], nowMs: number, plannedC: number): ExpectedWater {
  const pieces = gather(recent, nowMs)
  const newest = pieces.at(-1)
  if (newest === undefined) return steady('planned', plannedC, PLANNED_SPREAD_C)

  const levelFrom = newest.atMs - LEVEL_MS
  const late = pieces.filter(piece => piece.atMs > levelFrom).map(piece => piece.meanC)
  const early = pieces.filter(piece => piece.atMs <= levelFrom).map(piece => piece.meanC)
  const levelC = median(late)
  const scatterC = MAD_TO_SD * median(pieces.map(piece => Math.abs(piece.meanC - levelC)))
  const movedC = early.length > 0 ? Math.abs(levelC - median(early)) : spanOf(late)
  const thinC = PLANNED_SPREAD_C * Math.max(0, 1 - (pieces.length * PIECE_MS) / LEVEL_MS)
  const silentC = (Math.max(0, nowMs - newest.atMs - PIECE_MS) / HOUR_MS) * SPREAD_PER_SILENT_HOUR_C
  const spreadC = Math.hypot(PROBE_SPREAD_C, scatterC, movedC / 2, thinC / 2) + silentC
  return steady('measured', levelC, Math.min(spreadC, Math.max(PLANNED_SPREAD_C, scatterC)))
}

function steady(basis: ExpectedWater['basis'], levelC: number, spreadC: number): ExpectedWater {
  const level: WaterLevel = { levelC, spreadC }
  return { basis, at: () => level }
}

interface Piece {
  /** When the piece begins. */
  readonly atMs: number
  readonly meanC: number
}

/** Means over fixed pieces of time, newest {@link RECENT_MS} only, oldest first. */
function gather(recent: readonly WaterSample[], nowMs: number): Piece[] {
  const pieces: Piece[] = []
  let pieceAt = NaN
  let sum = 0
  let count = 0
  const close = () => {
    if (count > 0) pieces.push({ atMs: pieceAt * PIECE_MS, meanC: sum / count })
  }
  let newest = recent.length - 1
  while (newest >= 0 && !usable(recent[newest], nowMs)) newest--
  const oldestMs = (recent[newest]?.atMs ?? 0) - RECENT_MS
  let first = newest
  while (first > 0 && (recent[first - 1]?.atMs ?? 0) > oldestMs) first--
  for (let at = Math.max(first, 0); at <= newest; at++) {
    const sample = recent[at]
    if (sample === undefined || !usable(sample, nowMs)) continue
    const slot = Math.floor(sample.atMs / PIECE_MS)
    if (slot !== pieceAt) {
      close()
      pieceAt = slot
      sum = 0
      count = 0
    }
    sum += sample.waterC
    count++
  }
  close()
  return pieces
}

function usable(sample: WaterSample | undefined, nowMs: number): boolean {
  return sample !== undefined && Number.isFinite(sample.waterC) && sample.atMs <= nowMs
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  const half = sorted.length >> 1
  const upper = sorted[half] ?? 0
  return sorted.length % 2 === 1 ? upper : ((sorted[half - 1] ?? upper) + upper) / 2
}

function spanOf(values: readonly number[]): number {
  return Math.max(...values) - Math.min(...values)
}
