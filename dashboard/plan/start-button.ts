import { css, html, LitElement, nothing } from 'lit'
import type { Batch } from '../../broker/web/api/batches.ts'
import { noteStarted } from '../book/just-started.ts'
import { cleaningDueOf } from '../book/usual-words.ts'
import { problem, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { store } from '../state/store.ts'
import { shared } from '../style/shared.ts'
import { earlyStart } from './early.ts'
import type { Start } from './words.ts'

/** What was begun on the page of the plan. */
export interface Begun {
  readonly startId: string
  readonly vesselId: string
  readonly batchId: string
}

/** Starts one entry of the plan; asks first where it is planned for later. What is refused stands at the button. */
export class StartButton extends LitElement {
  static override properties = {
    start: { attribute: false },
    words: { attribute: false },
    nowMs: { attribute: false },
    asking: { state: true },
  }
  declare start: Start | null
  declare words: string
  declare nowMs: number
  declare asking: boolean
  readonly #sending = new Sending(this)

  constructor() {
    super()
    this.start = null
    this.words = ''
    this.nowMs = 0
    this.asking = false
  }
  static override styles = [
    shared,
    css`
      :host {
        display: grid;
        gap: 8px;
      }
    `,
  ]

  override render() {
    const { start } = this
    if (!start) return nothing
    const early = earlyStart(Date.parse(start.at), this.nowMs)
    const { busy } = this.#sending
    if (this.asking && early !== '')
      return html`${problem(this.#sending)}
        <div class="row">
          <button type="button" class="quiet" ?disabled=${busy} @click=${() => (this.asking = false)}>
            Not now
          </button>
          <button type="button" ?disabled=${busy} @click=${this.#begin}>
            Start now, ${early} early?<span class="hidden"> ${this.words}</span>
          </button>
        </div>`
    return html`${problem(this.#sending)}
      <div class="row">
        <button
          type="button"
          class="quiet"
          ?disabled=${busy}
          @click=${() => (early === '' ? void this.#begin() : (this.asking = true))}
        >
          Start this<span class="hidden">: ${this.words}</span>
        </button>
      </div>`
  }

  readonly #begin = async (): Promise<void> => {
    const { start } = this
    if (!start) return
    const uncleaned = cleaningDueOf(store.state.reminders, start.vesselId) !== null
    const done = await this.#sending.send(async () => {
      const path = `/plan/starts/${encodeURIComponent(start.id)}/start`
      const { id } = await request<Batch>('POST', path)
      noteStarted(id, Date.now(), uncleaned)
      const detail: Begun = { startId: start.id, vesselId: start.vesselId, batchId: id }
      this.dispatchEvent(new CustomEvent('begun', { detail, bubbles: true, composed: true }))
    })
    if (!done) this.asking = false
  }
}
customElements.define('bw-plan-start', StartButton)
