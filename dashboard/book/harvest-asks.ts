import { html, nothing, type TemplateResult } from 'lit'
import type { Walk } from '../../broker/web/api/books.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import { vesselPath } from '../state/route.ts'
import { zone } from '../state/zone.ts'
import { moment } from '../words/time.ts'
import type { notTicked, StepId } from './harvest-steps.ts'
import { settleText } from './harvest-words.ts'

const SETTLE_MS = 10 * 60_000

/** How long the shells and the nauplii still part. */
export function countDown({ settlesAt }: Walk, nowMs: number): TemplateResult | typeof nothing {
  if (settlesAt === null) return nothing
  const settlesMs = Date.parse(settlesAt)
  const leftMs = settlesMs - nowMs
  const share = Math.min(1, Math.max(0, 1 - leftMs / SETTLE_MS))
  return html`<div class="within">
    <p class="count-down" role="timer">${settleText(leftMs)}</p>
    <progress max="1" value=${share} aria-hidden="true"></progress>
    <p class="soft" role="status">
      ${leftMs > 0 ? `Settled at ${moment(settlesMs, nowMs, zone)}.` : 'It has settled: draw off.'}
    </p>
  </div>`
}

/** Asked where the step of a count is ticked and there is none; the button that opens the count stands below it. */
export const withoutCount = (goOn: () => void): TemplateResult =>
  html`<div class="within">
    <p role="status">There is no count yet.</p>
    <button class="quiet" @click=${goOn}>Without a count</button>
  </div>`

/** What is asked once before the end: of steps that were not ticked, of a count that was not saved, and of what is left. Nobody is held up by it. */
export function endQuestions(
  { words, first }: ReturnType<typeof notTicked>,
  left: string,
  unsaved: string,
  busy: boolean,
  act: { toStep(id: StepId): void; toTaken(): void; toCount(): void; end(): void },
): TemplateResult {
  const count = unsaved === '' ? '' : `Counted and not saved: ${unsaved}.`
  return html`<div class="result">
    <div id="left" tabindex="-1">
      ${[words, count, left].filter(each => each !== '').map(each => html`<p><strong>${each}</strong></p>`)}
    </div>
    ${first === null ? nothing : html`<button class="quiet" @click=${() => act.toStep(first)}>Not yet: back to the step</button>`}
    ${unsaved === '' ? nothing : html`<button @click=${() => act.toCount()}>Back to the count</button>`}
    ${left === '' ? nothing : html`<button class=${unsaved === '' ? '' : 'quiet'} @click=${() => act.toTaken()}>Write that down first</button>`}
    <button class="quiet" ?disabled=${busy} @click=${() => act.end()}>
      ${left === '' ? 'End the batch all the same' : 'I do not know: end the batch'}
    </button>
  </div>`
}

/** Asked before the first step, where nothing can be out yet: nothing is begun, and no alarm kept quiet, by having looked. */
export const rightOne = (vessel: Vessel, doubt: string, goOn: () => void): TemplateResult =>
  html`<div class="page">
    <h1>Harvest ${vessel.name}</h1>
    <div class="result" role="status">
      <strong>${doubt}</strong>
      <span>If the cysts went in earlier than was written down, set the batch's start right first.</span>
    </div>
    <div class="row">
      <a class="button" href="/">No: to the vessels</a>
      <a class="button quiet" href=${vesselPath(vessel.id)}>To ${vessel.name}</a>
      <button class="quiet" @click=${goOn}>Harvest it all the same</button>
    </div>
  </div>`
