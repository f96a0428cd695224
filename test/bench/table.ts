import { isMissed, type Bar, type Figure } from './subject.ts'

export interface Row extends Figure {
  readonly subject: string
}

/** The figures as a table for a terminal, one line each, aligned. */
export function table(rows: readonly Row[]): string {
  const cells = rows.map(row => [
    row.subject,
    row.name,
    `${short(row.value)} ${row.unit}`.trim(),
    row.bar ? barText(row.bar) : '',
    row.bar ? (isMissed(row) ? 'MISSED' : 'ok') : '',
    row.spread ? `${short(row.spread[0])} to ${short(row.spread[1])}` : '',
    row.note ?? '',
  ])
  const all = [['subject', 'figure', 'measured', 'bar', '', 'spread', 'note'], ...cells]
  const widths = all[0]!.map((_, column) => Math.max(...all.map(line => line[column]!.length)))
  return all
    .map(line =>
      line
        .map((cell, i) => cell.padEnd(widths[i]!))
        .join('  ')
        .trimEnd(),
    )
    .join('\n')
}

function barText(bar: Bar): string {
  if ('atLeast' in bar) return `>= ${bar.atLeast}`
  return 'atMost' in bar ? `<= ${bar.atMost}` : `< ${bar.below}`
}

/** Three significant digits, and whole numbers whole. */
function short(value: number): string {
  if (!Number.isFinite(value)) return String(value)
  return Math.abs(value) >= 100
    ? Math.round(value).toLocaleString('en-GB')
    : String(Number(value.toPrecision(3)))
}
