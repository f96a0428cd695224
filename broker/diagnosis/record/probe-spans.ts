import { Quality } from '../../intake/reading.ts'
import type { Sample } from '../../store/contract.ts'
import type { Span } from '../contract.ts'
import { CELL_MS, filled, type Grid, momentOf, runsOf } from './grid.ts'

/** A probe of fine steps that shows one value for so long, over so many readings, is stuck: noise alone moves its last bit. Own choice. */
const STUCK_MS = 90 * 60_000
const STUCK_READINGS = 30

/** Where the water's readings did not move at all, what intake has found among it. */
export function frozenSpans(samples: readonly Sample[], untilMs: number): Span[] {
  const spans: Span[] = []
  let value: number | null = null
  let fromMs = 0
  let lastMs = 0
  let readings = 0
  let isMarked = false
  const close = () => {
    if (value !== null && (isMarked || (readings >= STUCK_READINGS && lastMs - fromMs >= STUCK_MS)))
      spans.push({ fromMs, toMs: lastMs })
    readings = 0
    isMarked = false
  }
  for (const sample of samples) {
    if (sample.atMs > untilMs) break
    if (sample.quality !== Quality.good && sample.quality !== Quality.frozen) continue
    if (sample.value !== value) {
      close()
      value = sample.value
      fromMs = sample.atMs
    }
    isMarked ||= sample.quality === Quality.frozen
    lastMs = sample.atMs
    readings++
  }
  close()
  return spans
}

/** Within so many cells a fall or a rise is judged: a probe in the air is at the room's temperature by then. */
const JUMP_CELLS = 3
/** A probe that stood at least so far above its room can be seen to fall out, °C. */
const STANDS_ABOVE_C = 1
/**
 * Water keeps more of its distance from the room than this over a quarter of an hour. Half a litre that stands 15 °C above its room cools
 * by some 0.3 °C a minute (as intake has it): it keeps 74 %. A probe in air keeps next to nothing.
 */
const KEEPS_SHARE = 0.45
/** A reading that follows its room's fast changes by more than this is of the air: water damps them to a tenth or less. Own choice. */
const FOLLOWS_SLOPE = 0.5
const FOLLOWS_CELLS = 18
/** A room that moves by less than this in a cell tells nothing: two probes' noise and steps may agree by chance, °C. Own choice. */
const ROOM_MOVES_C = 0.1
/** In the air it shows the room to within the two probes' errors (DS18B20 datasheet, ±0.5 °C each) and some warmth of the lamp, °C. */
const LIKE_ROOM_C = 1.2
/** A spell out of the water of less than this is nothing, cells. */
const LEAST_CELLS = 3

/**
 * Where the water's probe hung in the air: it fell towards the room faster than any water cools, until it jumps back; or it follows
 * the room's fast changes. Without a room probe only what intake has marked is found, and how long it lasted is read off its return.
 */
export function outOfWaterSpans(
  grid: Grid,
  samples: readonly Sample[],
  water: Float64Array,
  room: Float64Array,
  litres: number,
): Span[] {
  const air = filled(room)
  const marked = new Uint8Array(grid.cells)
  for (const { atMs, quality } of samples) {
    const cell = Math.floor((atMs - grid.fromMs) / CELL_MS)
    if (quality === Quality.outOfWater && cell >= 0 && cell < grid.cells) marked[cell] = 1
  }
  const out = new Uint8Array(grid.cells)
  let wetC = NaN
  let stoodC = NaN
  for (let cell = 0; cell < grid.cells; cell++) {
    const now = water[cell] ?? NaN
    const before = lastBefore(water, cell, JUMP_CELLS)
    if (Number.isNaN(wetC)) {
      if (marked[cell] === 1 || (air && hasFallen(before, now, air[cell] ?? NaN, litres))) {
        wetC = Number.isNaN(before) ? now : before
        stoodC = air ? Math.max(wetC - (air[cell] ?? 0), STANDS_ABOVE_C) : 2
        out[cell] = 1
        // The way down belongs to it.
        if (cell > 0) out[cell - 1] = 1
      }
      continue
    }
    if (marked[cell] === 1 || Number.isNaN(now)) {
      out[cell] = 1
      continue
    }
    const hasReturned =
      now >= wetC - stoodC * KEEPS_SHARE || now - lastBefore(water, cell, 2) >= stoodC * KEEPS_SHARE
    if (hasReturned) wetC = NaN
    else out[cell] = 1
  }
  if (air) followed(grid, water, air, out)
  return runsOf(grid.cells, cell => out[cell] === 1, LEAST_CELLS).map(([from, to]) => ({
    fromMs: momentOf(grid, from),
    toMs: momentOf(grid, to),
  }))
}

function hasFallen(beforeC: number, nowC: number, roomC: number, litres: number): boolean {
  const stood = beforeC - roomC
  // Bigger vessels cool slower still: their limit is nearer to where they stood.
  const keeps = litres >= 0.5 ? KEEPS_SHARE : KEEPS_SHARE / 2
  return (
    stood >= STANDS_ABOVE_C && nowC - roomC <= keeps * stood && beforeC - nowC >= (1 - keeps) * 0.8 * stood
  )
}

/** Marks what goes along with the room's fast changes. */
function followed(grid: Grid, water: Float64Array, air: Float64Array, out: Uint8Array): void {
  for (let from = 0; from + FOLLOWS_CELLS <= grid.cells; from += FOLLOWS_CELLS / 3) {
    let products = 0
    let squares = 0
    let apart = 0
    let seen = 0
    for (let cell = from + 1; cell < from + FOLLOWS_CELLS; cell++) {
      const moved = (water[cell] ?? NaN) - (water[cell - 1] ?? NaN)
      if (Number.isNaN(moved)) continue
      const roomMoved = (air[cell] ?? 0) - (air[cell - 1] ?? 0)
      products += moved * roomMoved
      squares += roomMoved * roomMoved
      apart += Math.abs((water[cell] ?? 0) - (air[cell] ?? 0))
      seen++
    }
    if (seen < FOLLOWS_CELLS / 2 || apart / seen > LIKE_ROOM_C) continue
    if (squares / seen > ROOM_MOVES_C ** 2 && products / squares > FOLLOWS_SLOPE)
      out.fill(1, from, from + FOLLOWS_CELLS)
  }
}

function lastBefore(values: Float64Array, cell: number, within: number): number {
  for (let back = within; back >= 1; back--) {
    const value = values[cell - back]
    if (value !== undefined && !Number.isNaN(value)) return value
  }
  return NaN
}
