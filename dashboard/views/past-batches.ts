import { css, html, LitElement, nothing, type PropertyValues } from 'lit'
import type { BatchEvent } from '../../broker/web/api/events.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import { Estimates } from '../batch/estimates.ts'
import { fateLine, fateStyle } from '../compare/fate.ts'
import { Verdicts } from '../compare/verdicts.ts'
import '../forms/correct-batch.ts'
import { ApiError, request } from '../state/api.ts'
import { withEvent } from '../state/log-entries.ts'
import { batchPath, comparePath, sheetPath } from '../state/route.ts'
import { Frames, Tick } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { gramsText, litresText } from '../words/amounts.ts'
import { endedBatches } from '../words/batch.ts'
import { theLot } from '../words/lot-name.ts'
import { estimateText, harvestCount } from '../words/seen.ts'
import { duration, moment } from '../words/time.ts'

/** So many ended batches are listed; older ones stay in the broker and its API. */
const LISTED = 20

/** Asks for the curves of a stretch of time, Unix ms. */
export class LookEvent extends Event {
  readonly fromMs: number
  readonly toMs: number
  constructor(fromMs: number, toMs: number) {
    super('bw-look', { bubbles: true, composed: true })
    this.fromMs = fromMs
    this.toMs = toMs
  }
}

/** The batches that a vessel has had; a tap on one shows its curves. */
export class PastBatches extends LitElement {
  static override properties = {
    vesselId: { attribute: false },
    openId: { attribute: false },
    batches: { state: true },
    logs: { state: true },
    failed: { state: true },
  }
  declare vesselId: string
  /** The open batch; when it changes, another may have ended. */
  declare openId: string | null
  /** `null` while they are not known. */
  declare batches: ReturnType<typeof endedBatches> | null
  /** What was seen of each, as far as it was read. */
  declare logs: ReadonlyMap<string, readonly BatchEvent[]>
  declare failed: string
  readonly #estimates = new Estimates(this)
  readonly #verdicts = new Verdicts(this)
  readonly #tick = new Tick(this, 60_000)

  constructor() {
    super()
    this.vesselId = ''
    this.openId = null
    this.batches = null
    this.logs = new Map()
    this.failed = ''
    new Frames(this, ({ seen }) => {
      for (const { event } of seen) this.#take(event)
    })
  }

  static override styles = [
    shared,
    fateStyle,
    css`
      li {
        border-top: 1px solid var(--line);
      }
      button {
        width: 100%;
        border: 0;
        border-radius: 0;
        padding: 12px 0;
        background: transparent;
        color: var(--ink);
        font-weight: 400;
        font-size: 1rem;
        text-align: left;
        display: grid;
        grid-template-columns: 1fr auto;
        justify-content: stretch;
        gap: 2px 12px;
      }
      .sheet {
        display: inline-block;
        padding: 12px 16px 12px 0;
      }
      .what {
        grid-column: 1;
        overflow-wrap: anywhere;
      }
      .go {
        grid-column: 2;
        grid-row: 1 / span 4;
        align-self: center;
        color: var(--ink-soft);
        text-decoration: underline;
        text-underline-offset: 3px;
      }
    `,
  ]

  override willUpdate(changed: PropertyValues<this>): void {
    if (changed.has('vesselId')) this.batches = null
    if (changed.has('vesselId') || changed.has('openId')) void this.#ask()
  }

  override render() {
    if (this.failed !== '') return html`<p class="failed" role="status">${this.failed}</p>`
    if (this.batches === null) return html`<p class="soft">Looking them up…</p>`
    if (this.batches.length === 0) return html`<p class="soft">None has ended yet.</p>`
    const nowMs = this.#tick.nowMs
    return html`${this.batches.length > 1 ? html`<p><a class="button quiet" href=${comparePath({ vesselId: this.vesselId })}>Side by side</a></p>` : nothing}
      <ul>
        ${this.batches.map(batch => {
          const startedMs = Date.parse(batch.startedAt)
          const endedMs = Date.parse(batch.endedAt)
          return html`<li>
            <button @click=${() => this.dispatchEvent(new LookEvent(startedMs, endedMs))}>
              <span
                ><strong>${moment(startedMs, nowMs, zone)}</strong>, ${duration(endedMs - startedMs)}</span
              >
              <span class="what soft"
                >${mixText(batch)}${batch.note ? html`, <strong>${batch.note}</strong>` : nothing}</span
              >
              <span class="what">${fateLine(batch, this.#verdicts.of(batch.id))}</span>
              ${this.#harvest(batch)}
              <span class="go">curves</span>
            </button>
            <a class="sheet" href=${batchPath(batch.id)}
              >What went wrong, and replay<span class="hidden"> of ${moment(startedMs, nowMs, zone)}</span></a
            >
            <a class="sheet" href=${sheetPath(batch.id)}
              >Batch sheet<span class="hidden"> of ${moment(startedMs, nowMs, zone)}</span></a
            >
            <bw-correct-batch .batch=${batch}></bw-correct-batch>
          </li>`
        })}
      </ul>`
  }

  /** What its last count at the harvest gave. */
  #harvest(batch: Batch) {
    const count = harvestCount(this.logs.get(batch.id) ?? [])
    const estimate = count ? this.#estimates.of(count, batch) : null
    return estimate ? html`<span class="what">Harvest: ${estimateText(estimate)}</span>` : nothing
  }

  #take(event: BatchEvent): void {
    const log = this.logs.get(event.batchId)
    if (log) this.logs = new Map([...this.logs, [event.batchId, withEvent(log, event)]])
  }

  /** Asks again, as when a batch was corrected. */
  again(): void {
    void this.#ask()
  }

  /** One after the other: what they gave is not so urgent that all should be asked for at once. */
  async #readLogs(vesselId: string, batches: readonly Batch[]): Promise<void> {
    for (const { id } of batches) {
      if (vesselId !== this.vesselId || !this.isConnected) return
      try {
        const path = `/batches/${encodeURIComponent(id)}/events`
        const { events } = await request<{ events: BatchEvent[] }>('GET', path)
        this.logs = new Map([...this.logs, [id, events]])
      } catch {
        // The batch stands there without what it gave.
      }
    }
  }

  async #ask(): Promise<void> {
    const { vesselId } = this
    try {
      const query = new URLSearchParams({ vesselId, limit: String(LISTED) })
      const { batches } = await request<{ batches: Batch[] }>('GET', `/batches?${query}`)
      if (vesselId !== this.vesselId) return
      this.batches = endedBatches(batches)
      this.failed = ''
      void this.#readLogs(vesselId, this.batches)
      void this.#verdicts.ask(this.batches.map(({ id }) => id))
    } catch (error) {
      if (vesselId !== this.vesselId || this.batches !== null) return
      this.failed = error instanceof ApiError ? error.message : 'The past batches could not be read.'
    }
  }
}
customElements.define('bw-past-batches', PastBatches)

function mixText(batch: Batch): string {
  const salt = `${Number(batch.salinityGpl.toFixed(1))} g/L salt`
  const mix = `${litresText(batch.litres)}, ${gramsText(batch.cystsG)} cysts, ${salt}`
  return batch.lot ? `${mix}, ${theLot(batch.lot)}` : mix
}
