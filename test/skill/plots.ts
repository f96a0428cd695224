import type { Figures } from './figures.ts'
import type { Scored } from './season.ts'

/** Plots as plain SVG: no library, no script. Every mark also stands as a number in the table. */

const WIDTH = 640
const LEFT = 170
const INNER = WIDTH - LEFT - 60

const svg = (height: number, label: string, body: string) =>
  `<svg viewBox="0 0 ${WIDTH} ${height}" width="${WIDTH}" height="${height}" role="img" aria-label="${label}">${body}</svg>`
const text = (x: number, y: number, words: string, anchor = 'start') =>
  `<text x="${x.toFixed(1)}" y="${y.toFixed(1)}" text-anchor="${anchor}">${words}</text>`
const line = (x1: number, y1: number, x2: number, y2: number, kind: string) =>
  `<line x1="${x1.toFixed(1)}" y1="${y1.toFixed(1)}" x2="${x2.toFixed(1)}" y2="${y2.toFixed(1)}" class="${kind}"/>`
const box = (x: number, y: number, width: number, height: number, kind: string) =>
  `<rect x="${x.toFixed(1)}" y="${y.toFixed(1)}" width="${width.toFixed(1)}" height="${height.toFixed(1)}" class="${kind}"/>`

/** Coverage and window hits by class, with their 95 % limits. */
export function shareRows(
  rows: readonly Figures[],
  goal: readonly [number, number],
  share: (row: Figures) => readonly [value: number, limits: readonly [number, number] | null],
  label: string,
): string {
  const x = (value: number) => LEFT + INNER * (value - 0.4) * (1 / 0.6)
  const height = 34 * rows.length + 30
  const body = rows.map((row, at) => {
    const y = 22 + 34 * at
    const [value, limits] = share(row)
    const whisker = limits ? line(x(Math.max(limits[0], 0.4)), y, x(limits[1]), y, 'ink') : ''
    const mark = `<circle cx="${x(Math.max(value, 0.4)).toFixed(1)}" cy="${y}" r="5" class="ink"/>`
    return (
      text(0, y + 4, row.name) + whisker + mark + text(WIDTH, y + 4, `${(value * 100).toFixed(0)} %`, 'end')
    )
  })
  const ticks = [0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1].map(
    at =>
      line(x(at), 6, x(at), height - 22, 'grid') +
      text(x(at), height - 6, `${Math.round(at * 100)} %`, 'middle'),
  )
  return svg(
    height,
    label,
    box(x(goal[0]), 6, x(goal[1]) - x(goal[0]), height - 28, 'goal') + ticks.join('') + body.join(''),
  )
}

/** In which tenth of its forecast each truth lay: even for a forecast that is right as often as it says. */
export function reliability(row: Figures): string {
  const most = Math.max(...row.tenths, row.batches / 5)
  const height = 170
  const width = INNER / 10
  const y = (count: number) => 130 - (110 * count) / most
  const bars = row.tenths.map(
    (count, at) =>
      box(LEFT + width * at + 2, y(count), width - 4, 130 - y(count), 'bar') +
      text(LEFT + width * (at + 0.5), y(count) - 4, String(count), 'middle'),
  )
  const even = row.batches / 10
  return svg(
    height,
    `Reliability, ${row.name}`,
    text(0, 70, row.name) +
      text(0, 88, `${row.batches} batches`) +
      bars.join('') +
      line(LEFT, y(even), LEFT + INNER, y(even), 'even') +
      text(LEFT, 150, 'earlier than forecast') +
      text(LEFT + INNER, 150, 'later', 'end'),
  )
}

/** Errors of T90 in hours, by class. */
export function errors(name: string, scored: readonly Scored[]): string {
  const reach = 8
  const counts = Array.from({ length: 2 * reach }, () => 0)
  for (const { errorH } of scored) {
    const at = Math.min(Math.max(Math.floor(errorH) + reach, 0), 2 * reach - 1)
    counts[at] = (counts[at] ?? 0) + 1
  }
  const most = Math.max(...counts)
  const width = INNER / counts.length
  const bars = counts.map((count, at) =>
    box(LEFT + width * at + 1, 130 - (110 * count) / most, width - 2, (110 * count) / most, 'bar'),
  )
  const ticks = [-8, -4, 0, 4, 8].map(hour =>
    text(LEFT + width * (hour + reach), 148, `${hour > 0 ? '+' : ''}${hour} h`, 'middle'),
  )
  return svg(
    160,
    `Errors, ${name}`,
    text(0, 70, name) +
      bars.join('') +
      line(LEFT + INNER / 2, 10, LEFT + INNER / 2, 130, 'even') +
      ticks.join(''),
  )
}

/** Forecast against truth, hours from the start. */
export function against(scored: readonly Scored[]): string {
  const size = 420
  const top = Math.max(...scored.map(one => Math.max(one.t90H, one.t90H + one.errorH))) + 2
  const at = (hours: number) => (size * hours) / top
  const marks = scored.map(one => {
    const kind = one.countedBefore === 0 ? 'unseen' : one.countedBefore === 1 ? 'once' : 'twice'
    return `<circle cx="${(40 + at(one.t90H)).toFixed(1)}" cy="${(size - at(one.t90H + one.errorH)).toFixed(1)}" r="3" class="${kind}"/>`
  })
  const ticks = [12, 24, 36, 48]
    .filter(hour => hour < top)
    .map(
      hour =>
        text(40 + at(hour), size + 16, `${hour} h`, 'middle') +
        text(36, size - at(hour) + 4, `${hour} h`, 'end'),
    )
  return svg(
    size + 40,
    'Forecast against truth',
    line(40, size, 40 + size, 0, 'even') +
      marks.join('') +
      ticks.join('') +
      text(
        40 + size / 2,
        size + 34,
        'true T90; forecast upwards; open: never seen, grey: counted once, full: more often',
        'middle',
      ),
  )
}
