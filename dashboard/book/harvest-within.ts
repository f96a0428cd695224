import { html, nothing, type TemplateResult } from 'lit'
import type { BatchEvent } from '../../broker/web/api/events.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import '../forms/count.ts'
import { zone } from '../state/zone.ts'
import { seenText } from '../words/seen.ts'
import { moment } from '../words/time.ts'
import type { HarvestCounted } from './harvest-counted.ts'
import { harvestGave } from './harvest-end.ts'
import { shareLeft } from './harvest-words.ts'
import './taken.ts'

/** Which form stands open: of the stirred vessel, or of what was drawn off. */
export type Counting = 'share' | 'count' | null

/** What stands within the steps of a harvest at which something is counted or written down. */
export interface Within {
  readonly vessel: Vessel
  readonly batch: Batch
  readonly counted: HarvestCounted
  readonly counting: Counting
  readonly count: (which: 'share' | 'count') => void
}

/** What was counted stands at the step that it was counted at. `isOver`: with the air off nothing of the vessel is sampled stirred. */
export function withinShare(
  { vessel, batch, counted, counting, count }: Within,
  isOver: boolean,
): TemplateResult {
  const result = counted.at === 'share' ? harvestGave(counted.result, vessel) : nothing
  // Samples that were taken before it are still counted.
  if (isOver && counting !== 'share') return html`<div class="within">${result}</div>`
  return html`<div class="within">
    ${result}
    ${
      counting === 'share'
        ? html`<bw-count-form at-harvest stirred .batch=${batch}></bw-count-form>`
        : html`<button class="quiet" @click=${() => count('share')}>
            Count nauplii, umbrellas and unhatched
          </button>`
    }
  </div>`
}

export function withinCount({ vessel, batch, counted, counting, count }: Within): TemplateResult {
  const result = counted.at === 'count' ? harvestGave(counted.result, vessel) : nothing
  return html`<div class="within">
    ${result}
    ${
      counting === 'count'
        ? html`<bw-count-form at-harvest .batch=${batch}></bw-count-form>`
        : html`<button class="quiet" @click=${() => count('count')}>
            ${result === nothing ? 'Count a sample' : 'Count once more'}
          </button>`
    }
  </div>`
}

export function withinTaken(
  { batch, counted }: Within,
  events: readonly BatchEvent[],
  nowMs: number,
): TemplateResult {
  const taken = events.filter(event => event.kind === 'taken' && event.withdrawnAt === null)
  return html`<div class="within">
    ${taken.map(event => html`<p><strong>${seenText(event)}</strong>, ${moment(Date.parse(event.at), nowMs, zone)}</p>`)}
    <bw-taken
      .batch=${batch}
      .counted=${counted.result?.nauplii.best ?? null}
      .left=${shareLeft(events, nowMs)}
    ></bw-taken>
  </div>`
}
