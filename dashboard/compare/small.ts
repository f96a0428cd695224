import { css, html, LitElement, nothing, svg } from 'lit'
import type { ComparedBatch } from '../../broker/web/api/compare.ts'
import { shared } from '../style/shared.ts'

const WIDE = 160
const HIGH = 64
/** The water's scale, °C: what a fish room's vessels are between. */
const [LEAST_C, MOST_C] = [18, 34]

/** A batch as a small picture: what was out as a filled shape, the water as a line, on the same scales for all. */
export class SmallBatch extends LitElement {
  static override properties = {
    batch: { attribute: false },
    hours: { attribute: false },
    hotC: { attribute: false },
  }
  declare batch: ComparedBatch | null
  /** How long the picture is, h. */
  declare hours: number
  /** The heat limit, °C. */
  declare hotC: number

  constructor() {
    super()
    this.batch = null
    this.hours = 36
    this.hotC = 29.4
  }

  static override styles = [
    shared,
    css`
      :host {
        display: block;
      }
      svg {
        display: block;
        width: 100%;
        height: auto;
        background: var(--raised);
      }
      .out {
        fill: var(--nauplii);
        opacity: 0.55;
      }
      .water {
        fill: none;
        stroke: var(--ink);
        stroke-width: 1.6;
        vector-effect: non-scaling-stroke;
      }
      .hot {
        stroke: var(--hot);
        stroke-width: 1;
        stroke-dasharray: 4 3;
        vector-effect: non-scaling-stroke;
      }
    `,
  ]

  override render() {
    const { batch, hours } = this
    if (!batch) return nothing
    const x = (s: number) => ((s / 3600 / hours) * WIDE).toFixed(1)
    const y = (waterC: number) =>
      (HIGH * (1 - (Math.min(MOST_C, Math.max(LEAST_C, waterC)) - LEAST_C) / (MOST_C - LEAST_C))).toFixed(1)
    const { hatched, waterC } = batch
    const out =
      hatched && hatched.s.map((s, at) => `${x(s)} ${(HIGH * (1 - (hatched.v[at] ?? 0))).toFixed(1)}`)
    const water = waterC && waterC.s.map((s, at) => `${x(s)} ${y(waterC.v[at] ?? 0)}`)
    return html`<svg viewBox="0 0 ${WIDE} ${HIGH}" aria-hidden="true" preserveAspectRatio="none">
      ${out ? svg`<path class="out" d="M0 ${HIGH} L${out.join(' L')} L${x(hatched?.s.at(-1) ?? 0)} ${HIGH} Z" />` : nothing}
      <line class="hot" x1="0" x2=${WIDE} y1=${y(this.hotC)} y2=${y(this.hotC)} />
      ${water ? svg`<path class="water" d="M${water.join(' L')}" />` : nothing}
    </svg>`
  }
}
customElements.define('bw-small-batch', SmallBatch)
