import { Quality } from '../../intake/reading.ts'
import type { Sample } from '../../store/contract.ts'

/** The record is looked at in cells of this length, ms. Own choice: an air failure of minutes still shows. */
export const CELL_MS = 5 * 60_000
export const CELL_H = CELL_MS / 3_600_000
/** A batch is looked at for so long at most, cells: ten days. */
export const MOST_CELLS = 2880

/** Cells of {@link CELL_MS} from a moment on. */
export interface Grid {
  readonly fromMs: number
  readonly cells: number
}

export function gridOver(fromMs: number, toMs: number): Grid {
  const cells = Math.ceil((toMs - fromMs) / CELL_MS)
  return { fromMs, cells: Math.min(Math.max(cells, 1), MOST_CELLS) }
}

export function cellOf({ fromMs, cells }: Grid, atMs: number): number {
  return Math.min(Math.max(Math.floor((atMs - fromMs) / CELL_MS), 0), cells - 1)
}

export function momentOf({ fromMs }: Grid, cell: number): number {
  return fromMs + cell * CELL_MS
}

/** Mean of the believed values in each cell; NaN where there is none. */
export function meansOver(grid: Grid, samples: readonly Sample[]): Float64Array {
  const sums = new Float64Array(grid.cells)
  const counts = new Uint32Array(grid.cells)
  for (const { atMs, value, quality } of samples) {
    if (quality !== Quality.good || value === null) continue
    const cell = Math.floor((atMs - grid.fromMs) / CELL_MS)
    if (!(cell >= 0 && cell < grid.cells)) continue
    sums[cell] = (sums[cell] ?? 0) + value
    counts[cell] = (counts[cell] ?? 0) + 1
  }
  return sums.map((sum, cell) => ((counts[cell] ?? 0) > 0 ? sum / (counts[cell] ?? 1) : NaN))
}

/** A device that sends less often than this leaves gaps, cells: a quarter of an hour. */
const BRIDGED_CELLS = 3

/** The same with short gaps bridged in a straight line: a device may send once in ten minutes. */
export function bridged(values: Float64Array): Float64Array {
  const out = Float64Array.from(values)
  let before = -1
  for (let cell = 0; cell < out.length; cell++) {
    if (Number.isNaN(out[cell])) continue
    const missing = cell - before - 1
    if (before >= 0 && missing > 0 && missing < BRIDGED_CELLS) {
      const [from, to] = [out[before] ?? 0, out[cell] ?? 0]
      for (let gap = 1; gap <= missing; gap++) out[before + gap] = from + ((to - from) * gap) / (missing + 1)
    }
    before = cell
  }
  return out
}

/** The same with what is missing put in: a straight line between neighbours, and the nearest at the ends. `null` when all is missing. */
export function filled(values: Float64Array): Float64Array | null {
  const out = Float64Array.from(values)
  let before = -1
  for (let cell = 0; cell < out.length; cell++) {
    if (Number.isNaN(out[cell])) continue
    const to = out[cell] ?? 0
    const from = before < 0 ? to : (out[before] ?? to)
    for (let gap = before + 1; gap < cell; gap++) {
      out[gap] = from + ((to - from) * (gap - before)) / (cell - before)
    }
    before = cell
  }
  if (before < 0) return null
  out.fill(out[before] ?? 0, before + 1)
  return out
}

/** Runs of cells for which something holds, as [first, after the last], none shorter than `least` cells. */
export function runsOf(cells: number, holds: (cell: number) => boolean, least = 1): [number, number][] {
  const runs: [number, number][] = []
  let from = -1
  for (let cell = 0; cell <= cells; cell++) {
    const on = cell < cells && holds(cell)
    if (on && from < 0) from = cell
    if (on || from < 0) continue
    if (cell - from >= least) runs.push([from, cell])
    from = -1
  }
  return runs
}
