import { html, LitElement, nothing, type PropertyValues } from 'lit'
import type { Batch } from '../../broker/web/api/batches.ts'
import { request } from '../state/api.ts'
import { BatchLog } from '../state/batch-log.ts'
import { batchPath } from '../state/route.ts'
import { Tick } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { endedBatches } from '../words/batch.ts'
import { harvestCount } from '../words/seen.ts'
import { moment } from '../words/time.ts'
import './seen.ts'

/** So long after its end the broker still takes what was counted of a batch, ms. */
const STILL_COUNTS_MS = 2 * 86_400_000
/** A batch of no named lot that was ended sooner has hatched nothing that anybody would count, ms. */
const WORTH_COUNTING_MS = 12 * 3_600_000

/** The batch that was just ended: its harvest is often counted after it. */
export class LastBatch extends LitElement {
  static override properties = { vesselId: { attribute: false }, batch: { state: true } }
  declare vesselId: string
  declare batch: (Batch & { readonly endedAt: string }) | null
  readonly #log = new BatchLog(this)
  readonly #tick = new Tick(this, 60_000)

  constructor() {
    super()
    this.vesselId = ''
    this.batch = null
  }

  static override styles = shared

  override willUpdate(changed: PropertyValues<this>): void {
    if (changed.has('vesselId')) {
      this.batch = null
      void this.#ask()
    }
    this.#log.follow(this.batch?.id ?? null)
  }

  override render() {
    const { batch } = this
    const nowMs = this.#tick.nowMs
    if (!batch || nowMs - Date.parse(batch.endedAt) > STILL_COUNTS_MS) return nothing
    const lastedMs = Date.parse(batch.endedAt) - Date.parse(batch.startedAt)
    if (batch.lot === null && lastedMs < WORTH_COUNTING_MS) return nothing
    const counted = this.#log.state !== 'shown' || harvestCount(this.#log.events) !== null
    return html`<section>
      <h2>The batch that ended ${moment(Date.parse(batch.endedAt), nowMs, zone)}</h2>
      ${counted ? nothing : html`<p class="soft">Count its harvest, and the next forecast of this lot is surer.</p>`}
      <bw-seen .batch=${batch} late></bw-seen>
      <p><a class="button quiet" href=${batchPath(batch.id)}>What went wrong, and replay</a></p>
    </section>`
  }

  /** Asks again, as when a batch was corrected. */
  again(): void {
    void this.#ask()
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
