import { html, type TemplateResult } from 'lit'
import { moment, type Zone } from '../words/time.ts'
import type { ToDo } from './to-do.ts'

const KIND = { start: 'Start', harvest: 'Harvest', feed: 'Feed' } as const

/**
 * All that the picture shows, as a table: for whoever cannot see it, and for whoever wants it exactly. On a
 * phone its cells stand under each other, which takes a table's meaning away in some browsers: its roles are said.
 */
export function planTable(all: readonly ToDo[], nowMs: number, zone: Zone): TemplateResult {
  return html`<div class="wide">
    <table role="table">
      <caption class="hidden">
        The plan, in the order of time
      </caption>
      <thead role="rowgroup">
        <tr role="row">
          <th scope="col" role="columnheader">When</th>
          <th scope="col" role="columnheader">What</th>
          <th scope="col" role="columnheader">More</th>
        </tr>
      </thead>
      <tbody role="rowgroup">
        ${all.map(
          ({ atMs, kind, words, detail, night }) =>
            html`<tr role="row" class=${kind}>
              <th scope="row" role="rowheader">${moment(atMs, nowMs, zone)}</th>
              <td role="cell">${words}<span class="hidden"> (${KIND[kind]})</span></td>
              <td role="cell">${detail}${night ? ' At night.' : ''}</td>
            </tr>`,
        )}
      </tbody>
    </table>
  </div>`
}
