import { css, html, LitElement, nothing } from 'lit'
import type { HeldPortion } from '../../broker/web/api/books.ts'
import { fieldText, line, problem, readNumber, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { FormDraft, hasDraft } from '../state/draft.ts'
import { Frames, Tick, Watch } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { shortTemperature } from '../words/temperature.ts'
import { duration, moment } from '../words/time.ts'
import { bookNav, bookNavStyle } from './book-nav.ts'
import { Fetched } from './fetched.ts'
import { drawText, foodText, heldAge, leftText, untilText, TOO_SOON_WORDS } from './held-words.ts'

const path = (id: string, rest: string): string => `/held/${encodeURIComponent(id)}${rest}`
const DRAWN_FOR = ['fed', 'discarded'] as const
type DrawnFor = (typeof DRAWN_FOR)[number]
const draftOf = (id: string, what: DrawnFor): string => `draw.${what}.${id}`
const DAY_MS = 86_400_000

/** What is in the refrigerator: each portion with what is left of it, what it is worth and until when it keeps. */
export class Refrigerator extends LitElement {
  static override properties = { drawing: { state: true } }
  /** The portion that is being drawn from, and for what. */
  declare drawing: { readonly id: string; readonly for: DrawnFor } | null
  readonly #held = new Fetched<{ held: HeldPortion[]; names: Record<string, string> }>(
    this,
    () => '/held?gone=true',
  )
  readonly #vessels = new Watch(this, from => from.state.vessels)
  readonly #unit = new Watch(this, from => from.state.settings?.temperatureUnit ?? 'C')
  readonly #tick = new Tick(this, 30_000)
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () =>
    this.drawing ? draftOf(this.drawing.id, this.drawing.for) : null,
  )
  #looked = false

  constructor() {
    super()
    this.drawing = null
    new Frames(this, frame => {
      if (frame.fresh || frame.seen.length > 0) void this.#held.again()
    })
  }

  static override styles = [
    shared,
    bookNavStyle,
    css`
      ul.shelf {
        display: grid;
        grid-template-columns: repeat(auto-fill, minmax(min(100%, 380px), 1fr));
        gap: 32px 40px;
      }
      article {
        display: grid;
        gap: 10px;
        padding-top: 14px;
        border-top: 6px solid var(--cool);
      }
      article.over {
        border-top-style: dashed;
        border-top-color: var(--warm);
      }
      .left {
        font-size: 1.5rem;
        font-weight: 750;
        font-variant-numeric: tabular-nums;
      }
      .late {
        color: var(--warm);
        font-weight: 650;
      }
      progress {
        appearance: none;
        width: 100%;
        height: 12px;
        border: 0;
        background: var(--line);
      }
      progress::-webkit-progress-bar {
        background: var(--line);
      }
      progress::-webkit-progress-value {
        background: var(--nauplii);
      }
      progress::-moz-progress-bar {
        background: var(--nauplii);
      }
      ul.draws li {
        display: flex;
        flex-wrap: wrap;
        gap: 4px 12px;
        justify-content: space-between;
        align-items: center;
        border-top: 1px solid var(--line);
        padding: 6px 0;
      }
      ul.draws button {
        min-height: 48px;
        border: 0;
        padding: 6px 0;
        font-weight: 500;
        text-decoration: underline;
        text-underline-offset: 4px;
      }
    `,
  ]

  override willUpdate(): void {
    const held = this.#held.value?.held
    if (this.#looked || !held) return
    this.#looked = true
    // A share that was half typed when the page closed is asked for again.
    for (const { id, isGone } of held) {
      const what = isGone ? undefined : DRAWN_FOR.find(each => hasDraft(draftOf(id, each)))
      if (what) this.drawing = { id, for: what }
    }
  }

  override render() {
    return html`<div class="page">
      ${bookNav('/held')}
      <h1>In the refrigerator</h1>
      ${this.#body()}
    </div>`
  }

  #body() {
    if (this.#held.problem !== '') return html`<p class="failed" role="status">${this.#held.problem}</p>`
    const all = this.#held.value?.held
    if (!all) return html`<p class="soft">Opening the door…</p>`
    const nowMs = this.#tick.nowMs
    const here = all.filter(({ isGone }) => !isGone)
    const gone = all.filter(
      each => each.isGone && nowMs - Date.parse(each.draws.at(-1)?.at ?? each.takenAt) < DAY_MS,
    )
    return html`${
      here.length === 0
        ? html`<p>
            Nothing is held. At a harvest, what is not fed at once can be put in the cold: it keeps up to 48 h
            at 2 to 4 °C (36 to 39 °F), gently aerated.
          </p>`
        : html`<ul class="shelf">
            ${here.map(portion => html`<li>${this.#portion(portion, nowMs)}</li>`)}
          </ul>`
    }
    ${
      gone.length === 0
        ? nothing
        : html`<section>
            <h2>Used up since yesterday</h2>
            ${gone.map(portion => this.#draws(portion, nowMs))}
          </section>`
    }`
  }

  #portion(portion: HeldPortion, nowMs: number) {
    const over = nowMs >= Date.parse(portion.until)
    const { vesselId } = portion
    // One that was put away keeps the name it had.
    const vessel =
      this.#vessels.value.get(vesselId)?.name ?? this.#held.value?.names[vesselId] ?? 'a vessel that is gone'
    const drawing = this.drawing?.id === portion.id ? this.drawing : null
    return html`<article class=${over ? 'over' : ''}>
      <h2>From ${vessel}${portion.lot ? html`, of ${portion.lot}` : nothing}</h2>
      <p class="left">${leftText(portion)}</p>
      ${
        portion.isTooSoon
          ? html`<p class="late">${TOO_SOON_WORDS}</p>`
          : html`<progress max="1" value=${portion.energyLeft.p50} aria-label="Food value left"></progress>
              <p>${heldAge(portion)} ${foodText(portion)}</p>`
      }
      <p class=${over ? 'late' : ''}>${untilText(portion, nowMs, zone)}</p>
      <p class="soft">
        Put in ${moment(Date.parse(portion.takenAt), nowMs, zone)} at
        ${shortTemperature(portion.coldC, this.#unit.value)}, ${duration(nowMs - Date.parse(portion.takenAt))}
        ago.
      </p>
      ${drawing ? this.#form(portion, drawing.for) : this.#buttons(portion)} ${this.#draws(portion, nowMs)}
    </article>`
  }

  #buttons({ id }: HeldPortion) {
    const button = (what: DrawnFor, name: string) =>
      html`<button class=${what === 'fed' ? '' : 'quiet'} @click=${() => void this.#open(id, what)}>
        ${name}
      </button>`
    return html`<div class="pair">${button('fed', 'Feed from it')} ${button('discarded', 'Throw away')}</div>`
  }

  #form(portion: HeldPortion, what: DrawnFor) {
    return html`<form novalidate @submit=${(event: SubmitEvent) => void this.#draw(event, portion, what)}>
      ${line('share', 'Share of what is left, %', this.#sending, {
        value: what === 'fed' ? '50' : '100',
        numeric: true,
        hint: portion.left === null ? 'Nobody counted it: 100 is all' : `Of ${leftText(portion)}`,
      })}
      ${problem(this.#sending)}
      <div class="row">
        <button ?disabled=${this.#sending.busy}>${what === 'fed' ? 'Fed' : 'Thrown away'}</button>
        <button
          type="button"
          class="quiet"
          @click=${() => {
            this.#draft.drop()
            this.drawing = null
          }}
        >
          Leave it
        </button>
      </div>
    </form>`
  }

  #draws(portion: HeldPortion, nowMs: number) {
    if (portion.draws.length === 0) return nothing
    return html`<ul class="draws" aria-label="Drawn">
      ${portion.draws.map(draw => {
        const text = `${moment(Date.parse(draw.at), nowMs, zone)}: ${drawText(draw)}`
        if (draw.withdrawnAt !== null)
          return html`<li class="soft">
            <del>${text}</del> taken back ${moment(Date.parse(draw.withdrawnAt), nowMs, zone)}
          </li>`
        return html`<li>
          <span>${text} <span class="soft">· ${draw.by}</span></span>
          <button class="quiet" @click=${() => void this.#takeBack(portion.id, draw.id)}>
            Take back<span class="hidden">: ${text}</span>
          </button>
        </li>`
      })}
    </ul>`
  }

  async #open(id: string, what: DrawnFor): Promise<void> {
    this.drawing = { id, for: what }
    await this.updateComplete
    this.renderRoot.querySelector<HTMLInputElement>('form input')?.select()
  }

  async #draw(event: SubmitEvent, portion: HeldPortion, what: DrawnFor): Promise<void> {
    event.preventDefault()
    const percent = readNumber(fieldText(event.currentTarget as HTMLFormElement, 'share'))
    if (percent === null || percent <= 0 || percent > 100)
      return this.#sending.refuse(new Map([['share', 'Write a share above 0, up to 100.']]))
    if (portion.left === null && percent < 100)
      return this.#sending.refuse(
        new Map([['share', 'Nobody counted it, so only all of it can be drawn: 100.']]),
      )
    const nauplii = percent === 100 || portion.left === null ? null : (portion.left * percent) / 100
    const done = await this.#sending.send(() =>
      request('POST', path(portion.id, '/draws'), { for: what, nauplii }),
    )
    if (!done) return
    this.#draft.drop()
    this.drawing = null
    await this.#held.again()
  }

  async #takeBack(id: string, drawId: string): Promise<void> {
    const withdraw = path(id, `/draws/${encodeURIComponent(drawId)}/withdraw`)
    if (await this.#sending.send(() => request('POST', withdraw))) await this.#held.again()
  }
}
customElements.define('bw-refrigerator', Refrigerator)
