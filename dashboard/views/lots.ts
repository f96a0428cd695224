import { css, html, LitElement, nothing, svg } from 'lit'
import { repeat } from 'lit/directives/repeat.js'
import type { LotOnShelf } from '../../broker/web/api/books.ts'
import type { Lot } from '../../broker/web/api/events.ts'
import { bookNav, bookNavStyle } from '../book/book-nav.ts'
import '../book/lot-record.ts'
import '../book/new-lot.ts'
import { ApiError, request } from '../state/api.ts'
import { Frames, Tick, Watch } from '../state/watch.ts'
import { comparePath } from '../state/route.ts'
import { zone } from '../state/zone.ts'
import { place } from '../style/place.ts'
import { shared } from '../style/shared.ts'
import {
  givesBecause,
  hourScale,
  hoursBand,
  perGBand,
  type Scale,
  shareBand,
  QUALITY_WORD,
} from '../words/lot.ts'
import { shortTemperature } from '../words/temperature.ts'
import { moment } from '../words/time.ts'

/** The water that the broker gives a lot's hours for, °C. */
const HATCHING_C = 27

/** The lots of cysts: how fast and how well each hatches, and how sure that is. */
export class LotsView extends LitElement {
  static override properties = { lots: { state: true }, failed: { state: true } }
  /** `null` while they are not known. */
  declare lots: readonly LotOnShelf[] | null
  declare failed: string
  readonly #tick = new Tick(this, 60_000)
  readonly #unit = new Watch(this, from => from.state.settings?.temperatureUnit ?? 'C')

  constructor() {
    super()
    this.lots = null
    this.failed = ''
    // What was seen of any batch may change what is known of its lot.
    new Frames(this, frame => {
      if (frame.fresh || frame.seen.length > 0) void this.#ask()
    })
  }

  static override styles = [
    shared,
    bookNavStyle,
    css`
      .intro {
        max-width: 40rem;
      }
      ul {
        display: grid;
        grid-template-columns: repeat(auto-fill, minmax(min(100%, 400px), 1fr));
        gap: 36px 40px;
      }
      article {
        display: grid;
        grid-template-columns: minmax(0, 1fr);
        gap: 12px;
        padding-top: 14px;
        border-top: 6px solid var(--plank-face);
      }
      header {
        display: flex;
        flex-wrap: wrap;
        gap: 4px 16px;
        align-items: center;
        justify-content: space-between;
      }
      h2 {
        overflow-wrap: anywhere;
      }
      .verdict {
        display: inline-flex;
        align-items: center;
        gap: 8px;
        font-weight: 700;
      }
      .steady {
        color: var(--right);
      }
      .learning {
        color: var(--cool);
      }
      .declining,
      .weak,
      .dormant {
        color: var(--warm);
      }
      .gone-bad {
        color: var(--hot);
      }
      .uneven,
      .unseen {
        color: var(--ink-soft);
      }
      .ruler {
        display: grid;
        grid-template-columns: 1fr auto;
        gap: 2px 12px;
        align-items: baseline;
      }
      .ruler dt {
        color: var(--ink-soft);
      }
      .ruler dd {
        font-weight: 650;
        font-variant-numeric: tabular-nums;
      }
      .ruler .drawn {
        grid-column: 1 / -1;
        position: relative;
        padding-bottom: 22px;
      }
      .drawn svg {
        display: block;
        width: 100%;
        height: 26px;
        overflow: visible;
      }
      .drawn span {
        position: absolute;
        bottom: 0;
        left: var(--at);
        transform: translateX(calc(-1 * var(--at)));
        font-size: 0.8125rem;
        white-space: nowrap;
        font-weight: 500;
        color: var(--ink-soft);
        font-variant-numeric: tabular-nums;
      }
      .line {
        stroke: var(--line-strong);
        stroke-width: 1.5;
        vector-effect: non-scaling-stroke;
      }
      .belief {
        fill: var(--brine);
        opacity: 0.75;
      }
      .share .belief {
        fill: var(--nauplii);
      }
      .middle {
        stroke: var(--ink);
        stroke-width: 3;
        vector-effect: non-scaling-stroke;
      }
    `,
  ]

  override render() {
    const again = () => void this.#ask()
    return html`<div class="page" @bw-shelf=${again}>
      ${bookNav('/lots')}
      <h1>Lots of cysts</h1>
      ${this.#body()}
      <bw-new-lot></bw-new-lot>
    </div>`
  }

  #body() {
    if (this.failed !== '') return html`<p class="failed" role="status">${this.failed}</p>`
    if (this.lots === null) return html`<p class="soft">Looking them up…</p>`
    if (this.lots.length === 0)
      return html`<p class="intro">
        No batch was started from a named lot yet. Write the lot of the tin down when you start a batch, or
        put it on the shelf here: what you count of it makes the next forecast surer.
      </p>`
    const hours = hourScale(this.lots.flatMap(({ learned }) => (learned ? [learned] : [])))
    return html`<p class="intro soft">
        How fast a lot hatches is its own. The figures are what is expected of its next batch: the slimmer the
        spindle, the surer; each count makes it slimmer.
      </p>
      <ul>
        ${repeat(
          this.lots,
          ({ id }) => id,
          lot => html`<li>${this.#onShelf(lot, hours)}</li>`,
        )}
      </ul>`
  }

  #onShelf(lot: LotOnShelf, hours: Scale) {
    const record = html`<bw-lot-record .lot=${lot}></bw-lot-record>`
    if (lot.learned) return this.#lot(lot, lot.learned, hours, record)
    return html`<article>
      <header>
        <h2>${lot.name}</h2>
        <p class="verdict unseen">${verdictMark('unseen')} ${QUALITY_WORD.unseen}</p>
      </header>
      ${record}
    </article>`
  }

  #lot({ quality, advice }: LotOnShelf, lot: Lot, hours: Scale, record: unknown) {
    const nowMs = this.#tick.nowMs
    const batches = lot.batches === 1 ? 'One batch' : `${lot.batches} batches`
    const seen =
      lot.observations === 0
        ? 'nothing seen of it yet'
        : lot.observations === 1
          ? 'one thing seen'
          : `${lot.observations} things seen`
    return html`<article>
      <header>
        <h2>${lot.name}</h2>
        <p class="verdict ${quality}">${verdictMark(quality)} ${QUALITY_WORD[quality]}</p>
      </header>
      <p>${lot.words}</p>
      ${quality === 'unseen' || quality === 'steady' ? nothing : html`<p>${advice}</p>`}
      ${lot.batches > 1 ? html`<p><a href=${comparePath({ lot: lot.name })}>Its batches side by side</a></p>` : nothing}
      <h3>Expected of its next batch</h3>
      <dl class="ruler">
        <dt>Half out at ${shortTemperature(HATCHING_C, this.#unit.value).replace('.0', '')}</dt>
        <dd>${hoursBand(lot.hoursToHalf)}</dd>
        ${ruler(lot.hoursToHalf, hours)}
      </dl>
      <dl class="ruler share">
        <dt>Cysts that hatch</dt>
        <dd>${shareBand(lot.hatchShare)}</dd>
        ${ruler(lot.hatchShare, SHARES)}
      </dl>
      <dl class="ruler">
        <dt>Nauplii from a gram</dt>
        <dd>${perGBand(lot.naupliiPerG)}</dd>
      </dl>
      <p>${givesBecause(lot.counted)}</p>
      <p class="soft">
        From the first tenth to the last within ${hoursBand(lot.synchronyH)}. ${batches}, ${seen}; last used
        ${moment(Date.parse(lot.lastUsedAt), nowMs, zone)}.
      </p>
      ${record}
    </article>`
  }

  override connectedCallback(): void {
    super.connectedCallback()
    void this.#ask()
  }

  async #ask(): Promise<void> {
    try {
      this.lots = (await request<{ lots: LotOnShelf[] }>('GET', '/shelf')).lots
      this.failed = ''
    } catch (error) {
      if (this.lots === null)
        this.failed = error instanceof ApiError ? error.message : 'The lots could not be read.'
    }
  }
}
customElements.define('bw-lots', LotsView)

const SHARES: Scale = {
  from: 0,
  to: 1,
  marks: [0, 0.25, 0.5, 0.75, 1].map(at => ({ at, text: `${at * 100} %` })),
}

/** A belief as a spindle on its ruler: thickest where it most likely lies. */
function ruler({ p10, p50, p90 }: Lot['hatchShare'], { from, to, marks }: Scale) {
  const share = (value: number) => Math.min(1, Math.max(0, (value - from) / (to - from)))
  const x = (value: number) => (share(value) * 1000).toFixed(0)
  // Its flanks are those of a bell: thin far out, round at the top.
  const flank = (at: number, y: number) => {
    const from = at < p50 ? at + (p50 - at) * 0.55 : at - (at - p50) * 0.55
    const near = at < p50 ? p50 - (p50 - at) * 0.28 : p50 + (at - p50) * 0.28
    return {
      out: `${x(from)} 13 ${x(near)} ${y} ${x(p50)} ${y}`,
      back: `${x(near)} ${y} ${x(from)} 13 ${x(at)} 13`,
    }
  }
  const spindle = `M${x(p10)} 13C${flank(p10, 1).out}C${flank(p90, 1).back}C${flank(p90, 25).out}C${flank(p10, 25).back}Z`
  return html`<dd class="drawn" aria-hidden="true">
    <svg viewBox="0 0 1000 26" preserveAspectRatio="none">
      <line class="line" x1="0" x2="1000" y1="13" y2="13" />
      ${marks.map(({ at }) => svg`<line class="line" x1=${x(at)} x2=${x(at)} y1="9" y2="26" />`)}
      <path class="belief" d=${spindle} />
      <line class="middle" x1=${x(p50)} x2=${x(p50)} y1="0" y2="26" />
    </svg>
    ${marks.map(({ at, text }) => html`<span ${place(share(at))}>${text}</span>`)}
  </dd>`
}

/** A shape for each verdict, told apart without colour. */
const MARKS: Record<LotOnShelf['quality'], ReturnType<typeof svg>> = {
  unseen: svg`<circle cx="12" cy="12" r="9" stroke-dasharray="3 5" />`,
  learning: svg`<circle cx="12" cy="12" r="9" /><path d="M12 3 A9 9 0 0 1 12 21 Z" fill="currentColor" />`,
  steady: svg`<circle cx="12" cy="12" r="10" fill="currentColor" /><path d="M7 12.5 l4 4 l6.5 -8" stroke="var(--ground)" />`,
  weak: svg`<path d="M4 8 H20 M7 13 H17 M10 18 H14" />`,
  uneven: svg`<path d="M3 12 L7 5 L11 18 L15 7 L18 15 L21 10" />`,
  declining: svg`<path d="M3 6 L10 13 L14 10 L21 18 M21 11 V18 H14" />`,
  dormant: svg`<path d="M20 14 A9 9 0 1 1 10 4 A7 7 0 0 0 20 14 Z" />`,
  'gone-bad': svg`<path d="M5 5 L19 19 M19 5 L5 19" stroke-width="4" />`,
}
const verdictMark = (verdict: LotOnShelf['quality']) =>
  svg`<svg viewBox="0 0 24 24" width="22" height="22" fill="none" stroke="currentColor" stroke-width="2.6"
    stroke-linecap="round" stroke-linejoin="round" aria-hidden="true">${MARKS[verdict] ?? nothing}</svg>`
