import { css, html, LitElement, nothing } from 'lit'
import type { Forecast } from '../../broker/web/api/forecast.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import type { Settings } from '../../broker/web/api/schemas.ts'
import { Tick } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { delaySentence, delaySummary } from '../words/delay.ts'

/** Why the harvest comes later or sooner than was planned: one line, and in one tap its reasons. */
export class Why extends LitElement {
  static override properties = {
    batch: { attribute: false },
    forecast: { attribute: false },
    settings: { attribute: false },
  }
  declare batch: Batch | null
  declare forecast: Forecast | null
  declare settings: Settings | null
  readonly #tick = new Tick(this, 60_000)

  constructor() {
    super()
    this.batch = null
    this.forecast = null
    this.settings = null
  }

  static override styles = [
    shared,
    css`
      summary {
        display: inline-flex;
        align-items: center;
        gap: 10px;
        width: auto;
        padding: 6px 16px 6px 12px;
        border: 2px solid var(--line-strong);
        border-radius: 26px;
        font-size: 1.0625rem;
        list-style: none;
        font-variant-numeric: tabular-nums;
      }
      summary::-webkit-details-marker {
        display: none;
      }
      summary svg {
        flex: none;
        transition: rotate 0.15s;
      }
      details[open] summary svg {
        rotate: 90deg;
      }
      li {
        padding: 10px 0 10px 16px;
        border-left: 4px solid var(--line-strong);
      }
      li + li {
        margin-top: 8px;
      }
      li.cooler {
        border-color: var(--cool);
      }
      li.warmer {
        border-color: var(--warm);
      }
      @media (prefers-reduced-motion: reduce) {
        summary svg {
          transition: none;
        }
      }
    `,
  ]

  override render() {
    const { batch, forecast, settings } = this
    if (!batch || !forecast?.reachesHatch || !settings) return nothing
    const summary = delaySummary(forecast.why)
    if (summary === '') return nothing
    const nowMs = this.#tick.nowMs
    const startedMs = Date.parse(batch.startedAt)
    return html`<details>
      <summary>
        <svg viewBox="0 0 12 16" width="12" height="16" aria-hidden="true">
          <path
            d="M2 2 L9 8 L2 14"
            fill="none"
            stroke="currentColor"
            stroke-width="3"
            stroke-linecap="round"
            stroke-linejoin="round"
          />
        </svg>
        <span>${summary}</span>
      </summary>
      <ul>
        ${forecast.why.map(
          reason =>
            html`<li class=${reason.kind}>
              ${delaySentence(reason, settings.temperatureUnit, startedMs, nowMs, zone)}
            </li>`,
        )}
      </ul>
    </details>`
  }
}
customElements.define('bw-why', Why)
