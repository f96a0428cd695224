import { html } from 'lit'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import type { Settings } from '../../broker/web/api/schemas.ts'
import { zone } from '../state/zone.ts'
import { moment } from '../words/time.ts'
import { kindOf } from './backdrop.ts'
import { type CurveColumns, summarise } from './columns.ts'
import type { Curve } from './history.ts'
import type { TimeWindow } from './window.ts'

/** What a curve says to those who do not look at it. */
export function summaryText(
  curve: Curve,
  columns: CurveColumns,
  settings: Settings,
  { fromMs, toMs }: TimeWindow,
): string {
  const summary = summarise(columns, fromMs, toMs)
  if (!summary) return 'No readings in this span.'
  const { write } = kindOf(curve, settings)
  return `Between ${write(summary.least)} and ${write(summary.greatest)}, ${write(summary.mean)} on average.`
}

/** The curves in numbers: least, greatest and now. */
export function summaryTable(
  curves: readonly Curve[],
  columns: Readonly<Record<Curve, CurveColumns>>,
  vessel: Vessel,
  settings: Settings,
  { fromMs, toMs }: TimeWindow,
  nowMs: number,
) {
  const cell = (kind: ReturnType<typeof kindOf>, value: number | null | undefined) =>
    value === null || value === undefined ? html`<td>none</td>` : html`<td>${kind.cell(value)}</td>`
  return html`<table>
    <caption>
      From ${moment(fromMs, nowMs, zone)} to ${moment(Math.min(toMs, nowMs), nowMs, zone)}
    </caption>
    <thead>
      <tr>
        <th scope="col"><span class="hidden">Curve</span></th>
        <th scope="col">least</th>
        <th scope="col">greatest</th>
        <th scope="col">now</th>
      </tr>
    </thead>
    <tbody>
      ${curves.map(curve => {
        const kind = kindOf(curve, settings)
        const summary = summarise(columns[curve], fromMs, toMs)
        const latest = kind.latest(vessel)
        return html`<tr>
          <th scope="row">${kind.title}</th>
          ${cell(kind, summary?.least)}${cell(kind, summary?.greatest)}
          ${cell(kind, latest?.quality === 'good' ? latest.value : null)}
        </tr>`
      })}
    </tbody>
  </table>`
}
