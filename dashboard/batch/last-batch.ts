import { html, LitElement, nothing, type PropertyValues } from 'lit'
import type { Batch } from '../../broker/web/api/schemas.ts'
import { request } from '../state/api.ts'
import { Tick } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { endedBatches } from '../words/batch.ts'
import { moment } from '../words/time.ts'
import './seen.ts'

/** So long after its end the broker still takes what was counted of a batch, ms. */
const STILL_COUNTS_MS = 2 * 86_400_000

/** The batch that was just ended: its harvest is often counted after it. */
export class LastBatch extends LitElement {
  static override properties = { vesselId: { attribute: false }, batch: { state: true } }
  declare vesselId: string
  declare batch: (Batch & { readonly endedAt: string }) | null
  readonly #tick = new Tick(this, 60_000)

  constructor() {
    super()
    this.vesselId = ''
    this.batch = null
  }

  static override styles = shared

  override willUpdate(changed: PropertyValues<this>): void {
    if (!changed.has('vesselId')) return
    this.batch = null
    void this.#ask()
  }

  override render() {
    const { batch } = this
    const nowMs = this.#tick.nowMs
    if (!batch || nowMs - Date.parse(batch.endedAt) > STILL_COUNTS_MS) return nothing
    return html`<section>
      <h2>The batch that ended ${moment(Date.parse(batch.endedAt), nowMs, zone)}</h2>
      <p class="soft">Count its harvest, and the next forecast of this lot is surer.</p>
      <bw-seen .batch=${batch} late></bw-seen>
    </section>`
  }

  async #ask(): Promise<void> {
    const { vesselId } = this
    try {
      const query = new URLSearchParams({ vesselId, limit: '5' })
      const { batches } = await request<{ batches: Batch[] }>('GET', `/batches?${query}`)
      if (vesselId === this.vesselId) this.batch = endedBatches(batches)[0] ?? null
    } catch {
      // The list of past batches says what is wrong.
      this.batch = null
    }
  }
}
customElements.define('bw-last-batch', LastBatch)
