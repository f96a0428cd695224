import { css, html, LitElement, nothing } from 'lit'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import { problem, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { Tick } from '../state/watch.ts'
import { zone as ownZone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import type { Zone } from '../words/time.ts'
import { justStarted, startedUncleaned, takenBack } from './just-started.ts'
import { startedText } from './started-words.ts'

/** For a while after a batch was started here: what it is, what comes first, and a way back. */
export class Started extends LitElement {
  static override properties = { vessel: { attribute: false }, zone: { attribute: false } }
  declare vessel: Vessel | null
  /** In which its times are told; the person's own where nothing else is said. */
  declare zone: Zone
  readonly #sending = new Sending(this)
  readonly #tick = new Tick(this, 1000)

  constructor() {
    super()
    this.vessel = null
    this.zone = ownZone
  }

  static override styles = [
    shared,
    css`
      .started {
        display: flex;
        flex-wrap: wrap;
        gap: 8px 16px;
        align-items: center;
        justify-content: space-between;
        padding: 12px 16px;
        background: var(--raised);
        border-left: 4px solid var(--nauplii);
        border-radius: 4px;
      }
      p {
        flex: 1 1 14rem;
        overflow-wrap: anywhere;
      }
      button {
        min-height: 48px;
        min-width: 48px;
      }
    `,
  ]

  override render() {
    const { vessel } = this
    const batch = vessel?.batch
    if (!vessel || !batch) return nothing
    const nowMs = this.#tick.nowMs
    if (!justStarted(batch.id, Date.now())) return nothing
    const uncleaned = startedUncleaned(batch.id)
    const words = startedText(vessel.name, batch, vessel.forecast, nowMs, this.zone, uncleaned)
    return html`<div class="started">
      <p role="status">${words}</p>
      <button
        class="quiet"
        ?disabled=${this.#sending.busy}
        aria-label="Undo: take the batch in ${vessel.name} back"
        @click=${() => void this.#undo(batch.id)}
      >
        Undo
      </button>
      ${problem(this.#sending)}
    </div>`
  }

  /** It was no batch: out of every list, kept in the log, and what was measured stays the vessel's. */
  async #undo(batchId: string): Promise<void> {
    const discard = () => request('POST', `/batches/${encodeURIComponent(batchId)}/discard`)
    if (await this.#sending.send(discard)) takenBack(batchId)
  }
}
customElements.define('bw-started', Started)
