import { css, html, LitElement, nothing } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import { request } from '../state/api.ts'
import { store } from '../state/store.ts'
import { Watch } from '../state/watch.ts'
import { shared } from '../style/shared.ts'
import { endNote, Outcome, OUTCOME_WORDS } from '../words/batch.ts'
import { tooSoonText } from '../words/too-soon.ts'
import { problem, Sending } from './form.ts'

/** Ends a batch, after asking how it went: an ended batch does not begin again. */
export class EndBatch extends LitElement {
  static override properties = {
    batch: { attribute: false },
    asking: { state: true },
    doubt: { state: true },
  }
  declare batch: Batch | null
  declare asking: boolean
  /** Why it can hardly have been harvested; empty while nothing was asked. */
  declare doubt: string
  readonly #vessels = new Watch(this, from => from.state.vessels)
  readonly #sending = new Sending(this)

  constructor() {
    super()
    this.batch = null
    this.asking = false
    this.doubt = ''
  }
  static override styles = [
    shared,
    css`
      .ask {
        display: grid;
        gap: 14px;
      }
    `,
  ]

  override render() {
    if (!this.batch) return nothing
    if (!this.asking)
      return html`<button
        class="quiet"
        @click=${() => {
          this.asking = true
        }}
      >
        Harvested without the steps, or given up: end the batch
      </button>`
    return html`<div class="ask" role="group" aria-label="End the batch?">
      <p>
        <strong>End this batch now?</strong> Its forecast stops, and air, light and cool water are no longer
        watched. Heat still is.
      </p>
      <p role="status" ?hidden=${this.doubt === ''}><strong>${this.doubt}</strong></p>
      ${problem(this.#sending)}
      <div class="row">
        ${Object.values(Outcome).map(
          outcome =>
            html`<button ?disabled=${this.#sending.busy} @click=${() => this.#end(outcome)}>
              ${OUTCOME_WORDS[outcome]}${this.doubt !== '' && outcome === Outcome.harvested ? ' all the same' : ''}
            </button>`,
        )}
        <button
          class="quiet"
          @click=${() => {
            this.asking = false
            this.doubt = ''
          }}
        >
          No, go on
        </button>
      </div>
    </div>`
  }

  override updated(changed: Map<PropertyKey, unknown>): void {
    if (changed.has('asking') && this.asking)
      this.renderRoot.querySelector<HTMLElement>('.ask button.quiet')?.focus()
  }

  async #end(outcome: Outcome): Promise<void> {
    const { batch } = this
    if (!batch) return
    if (outcome === Outcome.harvested && this.doubt === '') {
      this.doubt = tooSoonText(
        batch,
        this.#vessels.value.get(batch.vesselId)?.forecast ?? null,
        store.clock.nowMs(),
      )
      if (this.doubt !== '') return
    }
    const body = { note: endNote(batch.note, outcome) }
    if (await this.#sending.send(() => request('POST', `/batches/${encodeURIComponent(batch.id)}/end`, body)))
      this.asking = false
  }
}
defineFor('helper', 'bw-end-batch', EndBatch)
