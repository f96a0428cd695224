import { type Bar } from './bars.ts'
import { CLASSES, type Figures, tableOf } from './figures.ts'
import { against, errors, reliability, shareRows } from './plots.ts'
import type { Scored } from './season.ts'

export interface ReportInput {
  readonly lots: number
  readonly seed: number
  readonly rangeZ: number
  readonly scored: readonly Scored[]
  readonly figures: readonly Figures[]
  readonly bars: readonly Bar[]
}

const STYLE = `body{font:16px/1.5 system-ui,sans-serif;max-width:44rem;margin:2rem auto;padding:0 1rem;color:#14242b;background:#fff}
table{border-collapse:collapse;font-size:.8rem}td,th{border-bottom:1px solid #ccd5d8;padding:.3rem .5rem;text-align:left}
svg{display:block;margin:.5rem 0 1.5rem;max-width:100%}svg text{font-size:12px;fill:#14242b}
.ink{stroke:#0b5563;fill:#0b5563;stroke-width:2}.bar{fill:#3d8a99}.grid{stroke:#dde4e6}.goal{fill:#d7ecd2}
.even{stroke:#a33;stroke-dasharray:5 4}.unseen{fill:none;stroke:#b35c00}.once{fill:#9aa7ab}.twice{fill:#0b5563}`

/** The whole report as one page that needs nothing else. */
export function reportPage({ lots, seed, rangeZ, scored, figures, bars }: ReportInput): string {
  const knowledge = figures.slice(0, 3)
  const all = figures.filter(({ name }) => name === 'all')
  return `<!doctype html><html lang="en"><meta charset="utf-8"><title>How well brinewatch forecasts</title><style>${STYLE}</style>
<h1>How well the hatch is forecast</h1>
<p>${scored.length} simulated batches of ${lots} lots (seed ${seed}) in rooms and vessels that the forecast does not know. Each forecast is
made at half of the true T90 from what was measured until then and from what was seen of the lot's earlier batches. Lots
scatter from -25 % to +60 % within ${rangeZ} standard deviations. Half of the rooms follow the weather: hourly normals of Seattle from the npm
package vega-datasets (BSD-3-Clause; the data are a work of the US Government, NOAA climate normals 1981-2010).</p>
<h2>Bars</h2>${htmlTable([
    ['bar', 'measured', ''],
    ...bars.map(bar => [bar.words, `${bar.value.toFixed(2)} ${bar.unit}`, bar.kept ? 'kept' : 'missed']),
  ])}
<h2>Figures</h2>${htmlTable(cellsOf(tableOf(figures)))}
<h2>How often the 80 % band holds</h2>${shareRows(figures, [0.75, 0.85], row => [row.coverage, row.coverageLimits], 'Coverage by class')}
<h2>How often the harvest window overlaps the true best hour</h2>${shareRows(figures, [0.9, 1], row => [row.windowHits, null], 'Window hits by class')}
<h2>Reliability: in which tenth of its forecast the truth lay</h2>${[...knowledge, ...all].map(reliability).join('')}
<h2>Errors of T90: forecast minus truth</h2>${CLASSES.slice(0, 3)
    .map(([name, of]) => errors(name, scored.filter(of)))
    .join('')}
<h2>Forecast against truth</h2>${against(scored)}
</html>
`
}

function cellsOf(markdown: string): string[][] {
  return markdown
    .split('\n')
    .filter(row => !row.startsWith('| ---'))
    .map(row => row.split('|').slice(1, -1))
}

function htmlTable([head = [], ...rows]: readonly (readonly string[])[]): string {
  const row = (cells: readonly string[], kind: 'td' | 'th') =>
    `<tr>${cells.map(cell => `<${kind}>${cell.trim()}</${kind}>`).join('')}</tr>`
  return `<table>${row(head, 'th')}${rows.map(cells => row(cells, 'td')).join('')}</table>`
}
