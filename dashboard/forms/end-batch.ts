import { css, html, LitElement, nothing } from 'lit'
import type { Batch } from '../../broker/web/api/schemas.ts'
import { request } from '../state/api.ts'
import { shared } from '../style/shared.ts'
import { problem, Sending } from './form.ts'

/** Ends a batch, after asking once: an ended batch does not begin again. */
export class EndBatch extends LitElement {
  static override properties = { batch: { attribute: false }, asking: { state: true } }
  declare batch: Batch | null
  declare asking: boolean
  readonly #sending = new Sending(this)

  constructor() {
    super()
    this.batch = null
    this.asking = false
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
        Harvested, or given up: end the batch
      </button>`
    return html`<div class="ask" role="group" aria-label="End the batch?">
      <p>
        <strong>End this batch now?</strong> Its forecast stops, and air, light and cool water are no longer
        watched. Heat still is.
      </p>
      ${problem(this.#sending)}
      <div class="row">
        <button ?disabled=${this.#sending.busy} @click=${this.#end}>Yes, end it</button>
        <button
          class="quiet"
          @click=${() => {
            this.asking = false
          }}
        >
          No, go on
        </button>
      </div>
    </div>`
  }

  override updated(): void {
    if (this.asking) this.renderRoot.querySelector<HTMLElement>('.ask button.quiet')?.focus()
  }

  readonly #end = async (): Promise<void> => {
    const id = this.batch?.id
    if (id === undefined) return
    if (await this.#sending.send(() => request('POST', `/batches/${encodeURIComponent(id)}/end`, {})))
      this.asking = false
  }
}
customElements.define('bw-end-batch', EndBatch)
