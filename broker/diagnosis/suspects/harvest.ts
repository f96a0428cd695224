import { CauseKind } from '../contract.ts'
import { CELL_H, momentOf } from '../record/grid.ts'
import { type Case, hoursWords, afterStart, type Suspect } from './suspect.ts'

/**
 * The harvest against when there would have been most usable food. `bestCells` are the best moments over everything that the batch may be.
 */
export function harvestOff(
  of: Case,
  kind: typeof CauseKind.harvestedEarly | typeof CauseKind.harvestedLate,
  bestCell: number,
  unhatchedShare: number | null,
): Suspect | null {
  const { record } = of
  if (record.harvestMs === null) return null
  const apartH = Math.abs(record.harvestCell - bestCell) * CELL_H
  const isEarly = kind === CauseKind.harvestedEarly
  const bestMs = momentOf(record.grid, bestCell)
  return {
    kind,
    words: `It was harvested too ${isEarly ? 'early' : 'late'}: ${afterStart(of, record.harvestMs)}, some ${hoursWords(Math.max(Math.round(apartH * 2) / 2, 0.5))} ${isEarly ? 'before' : 'after'} its best.`,
    evidence: [
      {
        role: null,
        spans: isEarly
          ? [{ fromMs: record.harvestMs, toMs: bestMs }]
          : [{ fromMs: bestMs, toMs: record.harvestMs }],
        value: (record.harvestMs - of.input.batch.startedAtMs) / 3_600_000,
        limit: bestCell * CELL_H,
        unit: 'h',
        source:
          'When most usable food would have been there, by the water that was measured and what is known of the lot. The first moult costs 27 % of the energy (Vanhaecke, Lavens & Sorgeloos 1983)',
        words:
          unhatchedShare !== null && isEarly
            ? `By then ${Math.round(100 * unhatchedShare)} % of what hatches in the end was not out.`
            : `Best ${afterStart(of, bestMs)}.`,
      },
    ],
    real: 1,
    change: isEarly
      ? 'Wait for the harvest window; a look with a lamp from the side shows whether cysts still hang out of their shells.'
      : 'Harvest in the window, or cool what is left below 10 °C (50 °F) and hold it: it lives on its yolk.',
  }
}
