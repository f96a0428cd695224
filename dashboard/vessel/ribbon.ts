import { css, html, LitElement, nothing } from 'lit'
import type { Forecast } from '../../broker/web/api/forecast.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import { place } from '../style/place.ts'
import { zone } from '../state/zone.ts'
import { moment, span } from '../words/time.ts'
import {
  breadth,
  doubtfulBreadth,
  isSure,
  ribbonPath,
  ribbonPlaces,
  type RibbonPlaces,
} from './ribbon-shape.ts'

const HEIGHT = 40

/** A batch's way from soak to harvest, with now, the harvest window and its doubt on it. */
export class Ribbon extends LitElement {
  static override properties = {
    batch: { attribute: false },
    forecast: { attribute: false },
    nowMs: { attribute: false },
  }
  declare batch: Batch | null
  declare forecast: Forecast | null
  /** The broker's time, Unix ms; whole minutes are enough, and spare drawing. */
  declare nowMs: number

  constructor() {
    super()
    this.batch = null
    this.forecast = null
    this.nowMs = 0
  }

  static override styles = css`
    :host {
      display: block;
      position: relative;
      container-type: inline-size;
      padding: 24px 0 28px;
    }
    svg {
      display: block;
      width: 100%;
      height: ${HEIGHT}px;
      overflow: visible;
    }
    .doubt {
      fill: var(--nauplii);
      opacity: 0.3;
    }
    .coming {
      opacity: 0.55;
    }
    .food {
      opacity: 0.85;
    }
    /* Known only roughly: the window's edges are as broken as what is known of them. */
    .unsure .food {
      opacity: 0.35;
    }
    .unsure .window {
      stroke-dasharray: 5 5;
    }
    .window {
      fill: none;
      stroke: var(--ink);
      stroke-width: 2;
      vector-effect: non-scaling-stroke;
    }
    .whisker {
      stroke: var(--ink-soft);
      stroke-width: 2;
      vector-effect: non-scaling-stroke;
    }
    .now {
      stroke: var(--ink);
      stroke-width: 3;
      vector-effect: non-scaling-stroke;
    }
    .plain {
      fill: var(--line);
    }
    span {
      position: absolute;
      left: var(--at);
      transform: translateX(calc(-1 * var(--at)));
      white-space: nowrap;
      font-size: 0.875rem;
      line-height: 20px;
      color: var(--ink-soft);
      font-variant-numeric: tabular-nums;
    }
    .above {
      top: 0;
      color: var(--ink);
      font-weight: 700;
      transform: translateX(-50%);
    }
    .below {
      bottom: 0;
    }
    /* Beside the harvest's own times there is no room for it on a small phone. */
    @container (max-width: 380px) {
      .set-up {
        display: none;
      }
    }
    .mark {
      color: var(--ink);
      font-weight: 600;
    }
  `

  override render() {
    const { batch, forecast } = this
    if (!batch)
      return html`<svg viewBox="0 0 1000 ${HEIGHT}" preserveAspectRatio="none" aria-hidden="true">
        <rect class="plain" y=${HEIGHT / 2 - 2} width="1000" height="4" />
      </svg>`
    if (!forecast?.reachesHatch) return this.#withoutEnd(batch)
    const places = ribbonPlaces(batch, forecast, this.nowMs)
    const fromMs = Date.parse(forecast.harvest.from)
    const untilMs = Date.parse(forecast.harvest.until)
    const middle = (places.from + places.until) / 2
    return html`
      ${this.#drawing(places)}
      <span class="above" ${place(Math.min(0.95, Math.max(0.05, places.now)))}>now</span>
      ${
        places.from > 0.62
          ? html`<span class="below set-up" ${place(0)}
              >set up ${moment(Date.parse(batch.startedAt), this.nowMs, zone)}</span
            >`
          : nothing
      }
      <span class="below mark" ${place(Math.max(middle, 0.55))}
        >${span(fromMs, untilMs, this.nowMs, zone)}</span
      >
    `
  }

  #drawing(places: RibbonPlaces) {
    const path = ribbonPath(HEIGHT, share => breadth(share, places))
    const at = (share: number) => (share * 1000).toFixed(0)
    const x = at
    return html`<svg
      class=${isSure(places) ? '' : 'unsure'}
      viewBox="0 0 1000 ${HEIGHT}"
      preserveAspectRatio="none"
      aria-hidden="true"
    >
      <defs>
        <linearGradient id="way" gradientUnits="userSpaceOnUse" x1="0" x2="1000" y1="0" y2="0">
          <stop offset=${places.soaked * 0.6} stop-color="var(--cyst)" />
          <stop offset=${places.soaked} stop-color="var(--brine)" />
          <stop offset=${places.t10} stop-color="var(--brine)" />
          <stop offset=${places.t90} stop-color="var(--nauplii)" />
          <stop offset=${places.until} stop-color="var(--nauplii)" />
          <stop offset=${Math.min(1, places.until + 0.03)} stop-color="var(--spent)" />
        </linearGradient>
        <clipPath id="done"><rect x="0" y="0" width=${at(places.now)} height=${HEIGHT} /></clipPath>
        <clipPath id="harvest">
          <rect x=${at(places.from)} y="0" width=${at(places.until - places.from)} height=${HEIGHT} />
        </clipPath>
      </defs>
      <path class="doubt" d=${ribbonPath(HEIGHT, share => doubtfulBreadth(share, places))} />
      <path class="coming" d=${path} fill="url(#way)" />
      <path class="food" d=${path} fill="url(#way)" clip-path="url(#harvest)" />
      <path d=${path} fill="url(#way)" clip-path="url(#done)" />
      <rect
        class="window"
        x=${x(places.from)}
        y="0"
        height=${HEIGHT}
        width=${at(Math.max(0.004, places.until - places.from))}
      />
      <path
        class="whisker"
        d="M${x(places.early)} ${HEIGHT + 1}v5m0 -2.5H${x(places.late)}${places.isOpen ? '' : 'm0 -2.5v5'}"
      />
      <line class="now" x1=${x(places.now)} x2=${x(places.now)} y1="-3" y2=${HEIGHT + 3} />
    </svg>`
  }

  /** Under way, but no window to draw: a thin ribbon that ends open. */
  #withoutEnd(batch: Batch) {
    return html`<svg viewBox="0 0 1000 ${HEIGHT}" preserveAspectRatio="none" aria-hidden="true">
        <rect y=${HEIGHT / 2 - 4} width="500" height="8" fill="var(--brine)" />
        <path
          d="M500 ${HEIGHT / 2}H1000"
          stroke="var(--ink-soft)"
          stroke-width="3"
          stroke-dasharray="4 7"
          vector-effect="non-scaling-stroke"
        />
        <line class="now" x1="500" x2="500" y1="-3" y2=${HEIGHT + 3} />
      </svg>
      <span class="above" ${place(0.5)}>now</span>
      <span class="below" ${place(0)}>set up ${moment(Date.parse(batch.startedAt), this.nowMs, zone)}</span>`
  }
}
customElements.define('bw-ribbon', Ribbon)
