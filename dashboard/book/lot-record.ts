import { css, html, LitElement, nothing } from 'lit'
import type { LotDetail, LotOnShelf } from '../../broker/web/api/books.ts'
import { fieldText, foot, line, list, problem, readNumber, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { FormDraft } from '../state/draft.ts'
import { Tick } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { gramsText } from '../words/amounts.ts'
import { dayName, moment } from '../words/time.ts'
import { controlChartPicture } from './chart.ts'
import { Fetched } from './fetched.ts'
import { KEPT_WORDS, lotKeepingText } from './lot-words.ts'

const KEPT = [
  { value: '', text: 'Not said' },
  ...Object.entries(KEPT_WORDS).map(([value, text]) => ({ value, text })),
]
const path = (id: string, rest = ''): string => `/shelf/${encodeURIComponent(id)}${rest}`
const changed = (): Event => new Event('bw-shelf', { bubbles: true, composed: true })

/** One lot on the shelf: what is left, how it is kept, its harvests as a control chart, and all of it to be set right. */
export class LotRecord extends LitElement {
  static override properties = { lot: { attribute: false }, open: { state: true } }
  declare lot: LotOnShelf | null
  /** Whether its chart and its fields stand open. */
  declare open: boolean
  readonly #fields = new Sending(this)
  readonly #weighing = new Sending(this)
  readonly #tick = new Tick(this, 60_000)
  readonly #detail = new Fetched<LotDetail>(this, () => (this.open && this.lot ? path(this.lot.id) : null))
  readonly #draft = new FormDraft(this, () => (this.open && this.lot ? `lot.${this.lot.id}` : null))

  constructor() {
    super()
    this.lot = null
    this.open = false
  }

  static override styles = [
    shared,
    css`
      :host {
        display: grid;
        gap: 10px;
      }
      .left {
        font-size: 1.125rem;
        font-weight: 700;
      }
      .late {
        color: var(--warm);
        font-weight: 650;
      }
      .inner {
        display: grid;
        gap: 22px;
      }
      svg {
        width: 100%;
        height: auto;
        display: block;
      }
      svg text {
        font-size: 13px;
        fill: var(--ink-soft);
      }
      svg line.mean {
        stroke: var(--ink-soft);
        stroke-width: 1.5;
      }
      svg line.limit {
        stroke: var(--warm);
        stroke-width: 2;
        stroke-dasharray: 8 6;
      }
      svg line.inner {
        stroke: var(--ink-soft);
        stroke-width: 2;
        stroke-dasharray: 2 5;
      }
      .way {
        fill: none;
        stroke: var(--brine);
        stroke-width: 2;
      }
      .point line {
        stroke: var(--brine);
        stroke-width: 2;
      }
      .point circle {
        fill: var(--ink);
        stroke: var(--ink);
        stroke-width: 2;
      }
      .point circle.unsure {
        fill: var(--ground);
      }
      .point.out rect {
        fill: var(--ground);
        stroke: var(--hot);
        stroke-width: 3;
      }
      .point.out line {
        stroke: var(--hot);
      }
      table {
        width: 100%;
        border-collapse: collapse;
        font-variant-numeric: tabular-nums;
        font-size: 0.9375rem;
      }
      th,
      td {
        text-align: left;
        padding: 6px 8px 6px 0;
        border-top: 1px solid var(--line);
        vertical-align: top;
      }
      ul.weighed li {
        padding: 8px 0;
        border-top: 1px solid var(--line);
        display: flex;
        gap: 12px;
        justify-content: space-between;
        align-items: center;
      }
    `,
  ]

  override render() {
    const { lot } = this
    if (!lot) return nothing
    const nowMs = this.#tick.nowMs
    const late = lot.useBy !== null && nowMs >= Date.parse(lot.useBy.from)
    return html`<p class="left">${leftText(lot)}</p>
      <p class=${late ? 'late' : 'soft'}>${lotKeepingText(lot, nowMs, zone)}</p>
      <details @toggle=${this.#toggled}>
        <summary>Its harvests, weighings and facts<span class="hidden"> of ${lot.name}</span></summary>
        ${this.open ? this.#inner(lot, nowMs) : nothing}
      </details>`
  }

  #inner(lot: LotOnShelf, nowMs: number) {
    const detail = this.#detail.value
    if (this.#detail.problem !== '') return html`<p class="failed" role="status">${this.#detail.problem}</p>`
    if (!detail) return html`<p class="soft" role="status">Looking it up…</p>`
    return html`<div class="inner">
      <section>
        <h3>Its harvests</h3>
        ${this.#chart(detail, nowMs)}
      </section>
      <section>
        <h3>Weigh what is left</h3>
        <form novalidate @submit=${this.#weigh}>
          ${line('gramsLeft', 'Grams left', this.#weighing, { numeric: true })}
          ${foot(this.#weighing, html`<button ?disabled=${this.#weighing.busy}>Write it down</button>`)}
        </form>
        ${this.#weighed(detail, nowMs)}
      </section>
      <section>
        <h3>Its facts</h3>
        ${this.#form(lot)}
      </section>
    </div>`
  }

  #chart({ charts, judgedBy }: LotDetail, nowMs: number) {
    const percent = judgedBy === 'hatch-percentage'
    const chart = percent ? charts.hatchPercentage : charts.naupliiPerG
    const far = (at: string) => Math.abs(nowMs - Date.parse(at)) > 6 * 86_400_000
    return html`<p class="soft">
        ${percent ? 'Share of the cysts that had hatched' : 'Nauplii from each gram'} at each harvest as
        counted, with the limits of each count. Its verdict goes by this chart.
      </p>
      ${controlChartPicture(chart, {
        title: percent ? 'Hatching percentage' : 'Nauplii from a gram',
        number: value => (percent ? `${Math.round(value)} %` : `${Math.round(value / 1000)} k`),
        date: at => dayName(Date.parse(at), zone, far(at)),
      })}`
  }

  #weighed({ weighings }: LotDetail, nowMs: number) {
    if (weighings.length === 0) return nothing
    return html`<ul class="weighed" aria-label="Weighings">
      ${[...weighings].reverse().map(each => {
        const text = `${moment(Date.parse(each.at), nowMs, zone)}: ${gramsText(each.gramsLeft)}, ${each.by}`
        if (each.withdrawnAt !== null) return html`<li class="soft"><del>${text}</del> taken back</li>`
        return html`<li>
          <span>${text}</span>
          <button class="quiet" @click=${() => void this.#takeBack(each.id)}>
            Take back<span class="hidden">: ${text}</span>
          </button>
        </li>`
      })}
    </ul>`
  }

  #form(lot: LotOnShelf) {
    const date = (name: string, label: string, value: string | null) =>
      line(name, label, this.#fields, { value: value ?? '', type: 'date' })
    return html`<form novalidate @submit=${this.#save}>
      ${line('name', 'Name', this.#fields, { value: lot.name, maxLength: 80, required: true })}
      <div class="pair">
        ${list('keptIn', 'Kept in', this.#fields, lot.keptIn ?? '', KEPT)}
        ${line('gramsBought', 'Bought, grams', this.#fields, { value: lot.gramsBought === null ? '' : String(lot.gramsBought), numeric: true })}
      </div>
      ${date('openedOn', 'Opened on', lot.openedOn)} ${date('bestBefore', 'Best before', lot.bestBefore)}
      ${line('note', 'Note', this.#fields, { value: lot.note ?? '', maxLength: 2000 })}
      ${problem(this.#fields)}
      <div class="row">
        <button ?disabled=${this.#fields.busy}>Save</button>
        <button
          type="button"
          class="quiet"
          @click=${() => void this.#change({ putAway: lot.putAwayAt === null })}
        >
          ${lot.putAwayAt === null ? 'Used up: put it away' : 'Back on the shelf'}
        </button>
      </div>
    </form>`
  }

  readonly #toggled = (event: Event): void => {
    this.open = (event.target as HTMLDetailsElement).open || this.open
  }

  readonly #weigh = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const form = event.currentTarget as HTMLFormElement
    const gramsLeft = readNumber(fieldText(form, 'gramsLeft'))
    if (gramsLeft === null || gramsLeft < 0)
      return this.#weighing.refuse(new Map([['gramsLeft', 'Write the grams as a number.']]))
    const { lot } = this
    if (!lot) return
    if (!(await this.#weighing.send(() => request('POST', path(lot.id, '/weighings'), { gramsLeft })))) return
    this.#draft.drop()
    form.reset()
    this.#again()
  }

  async #takeBack(id: string): Promise<void> {
    const { lot } = this
    if (!lot) return
    const withdraw = path(lot.id, `/weighings/${encodeURIComponent(id)}/withdraw`)
    if (await this.#weighing.send(() => request('POST', withdraw))) this.#again()
  }

  readonly #save = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const form = event.currentTarget as HTMLFormElement
    const text = (name: string) => fieldText(form, name).trim()
    const grams = text('gramsBought') === '' ? null : readNumber(text('gramsBought'))
    if (text('gramsBought') !== '' && (grams === null || grams <= 0))
      return this.#fields.refuse(
        new Map([['gramsBought', 'Write the grams as a number above 0, or nothing.']]),
      )
    await this.#change({
      name: text('name'),
      keptIn: text('keptIn') || null,
      gramsBought: grams,
      openedOn: text('openedOn') || null,
      bestBefore: text('bestBefore') || null,
      note: text('note') || null,
    })
  }

  async #change(change: object): Promise<void> {
    const { lot } = this
    if (!lot) return
    if (!(await this.#fields.send(() => request('PATCH', path(lot.id), change)))) return
    this.#draft.drop()
    this.#again()
  }

  #again(): void {
    void this.#detail.again()
    this.dispatchEvent(changed())
  }
}
customElements.define('bw-lot-record', LotRecord)

function leftText({ gramsLeft, drawnG, isOverdrawn, gramsBought }: LotOnShelf): string {
  if (gramsLeft === null) return `${gramsText(drawnG)} used; how much is left nobody said`
  if (isOverdrawn) return 'More was used than there was: weigh it'
  return `${gramsText(gramsLeft)} left${gramsBought === null ? '' : ` of ${gramsText(gramsBought)}`}`
}
