import { html, type TemplateResult } from 'lit'
import { moment, type Zone } from '../words/time.ts'
import type { ToDo } from './to-do.ts'

const KIND = { start: 'Start', harvest: 'Harvest', feed: 'Feed' } as const

/** All that the picture shows, as a table: for whoever cannot see it, and for whoever wants it exactly. */
export function planTable(all: readonly ToDo[], nowMs: number, zone: Zone): TemplateResult {
  return html`<div class="wide">
    <table>
      <caption class="hidden">
        The plan, in the order of time
      </caption>
      <thead>
        <tr>
          <th scope="col">When</th>
          <th scope="col">What</th>
          <th scope="col">More</th>
        </tr>
      </thead>
      <tbody>
        ${all.map(
          ({ atMs, kind, words, detail, night }) =>
            html`<tr class=${kind}>
              <th scope="row">${moment(atMs, nowMs, zone)}</th>
              <td>${words}<span class="hidden"> (${KIND[kind]})</span></td>
              <td>${detail}${night ? ' At night.' : ''}</td>
            </tr>`,
        )}
      </tbody>
    </table>
  </div>`
}
