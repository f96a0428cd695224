import { html, nothing, type TemplateResult } from 'lit'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import { keptCount } from '../forms/kept-count.ts'
import { sheetPath, vesselPath } from '../state/route.ts'

/** What is counted on this screen of a batch and was never saved: `40 nauplii`; empty for nothing. Of both counts the one that is drawn off goes first. */
export const unsavedCount = (batchId: string, nowMs: number): string =>
  [keptCount({ id: batchId }, nowMs), keptCount({ id: batchId }, nowMs, true)]
    .filter(text => text !== '')
    .join('; ')

/** The walk is under way no more: it, or its batch with it, was ended on another screen. */
export function harvestOver(
  vessel: Vessel,
  batchId: string,
  unsaved: string,
  anew: () => void,
): TemplateResult {
  const goesOn = vessel.batch?.id === batchId
  return html`<div class="page">
    <h1>Harvest ${vessel.name}</h1>
    <p role="status">
      ${
        goesOn
          ? 'This walk was ended on another screen, and the batch goes on. Its log has every step.'
          : `The batch in ${vessel.name} was ended on another screen. Its log has every step.`
      }
    </p>
    ${unsaved === '' ? nothing : html`<p><strong>Counted here and not saved: ${unsaved}.</strong></p>`}
    <div class="row">
      ${
        goesOn
          ? html`<button @click=${anew}>Walk it anew</button>`
          : html`<a class="button" href=${sheetPath(batchId)}>Its batch sheet</a>`
      }
      <a class="button quiet" href=${vesselPath(vessel.id)}>To ${vessel.name}</a>
    </div>
  </div>`
}
