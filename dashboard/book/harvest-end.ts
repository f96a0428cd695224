import { html, nothing, type TemplateResult } from 'lit'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import type { HarvestEstimate } from '../batch/harvest-estimate.ts'
import { vesselPath } from '../state/route.ts'
import { zone } from '../state/zone.ts'
import { type Harvested, harvestSummary } from './harvest-summary.ts'
import { harvestResult } from './harvest-words.ts'
import './started.ts'
import './usual.ts'

/** The calm end of a harvest: what it gave, where it went, and what comes next. */
export function harvestEnd(done: Harvested, vessel: Vessel, nowMs: number): TemplateResult {
  const { number, lines, taken } = harvestSummary(done, nowMs, zone)
  return html`<div class="page summary">
    <h1 tabindex="-1">Harvested: ${done.vesselName}</h1>
    <div class="result" role="status">
      <strong>${number}</strong>
      ${lines.map(each => html`<span>${each}</span>`)}
    </div>
    <section>
      <h2>Where they went</h2>
      <ul>
        ${taken.map(each => html`<li>${each}</li>`)}
      </ul>
    </section>
    <section>
      <h2>What comes next</h2>
      <p>Pour the old water away and rinse the vessel, its line and its probe with hot water.</p>
      <p class="row">
        <a class="button quiet" href="/cleaning">Cleaning</a>
        <a class="button quiet" href=${vesselPath(vessel.id)}>${vessel.name}</a>
        <a class="button quiet" href="/plan">Feeding plan</a>
      </p>
      ${next(vessel, done)}
    </section>
  </div>`
}

function next(vessel: Vessel, done: Harvested) {
  if (!vessel.batch) return html`<bw-usual .vessel=${vessel}></bw-usual>`
  return vessel.batch.id === done.batchId ? nothing : html`<bw-started .vessel=${vessel}></bw-started>`
}

/** What its counts say, as soon as there is one. */
export function harvestGave(result: HarvestEstimate | null, vessel: Vessel) {
  if (!result) return nothing
  const { nauplii, lines } = harvestResult(result, vessel.forecast?.naupliiBefore ?? null)
  return html`<div class="result" role="status">
    <strong>${nauplii}</strong>
    ${lines.map(each => html`<span>${each}</span>`)}
  </div>`
}
