import { html, LitElement, nothing } from 'lit'
import type { Replay } from '../../broker/web/api/replay.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import type { TemperatureUnit } from '../words/temperature.ts'
import { moment, next } from '../words/time.ts'
import { causesStyle } from './causes-style.ts'
import { beganMs, type Cause, type Diagnosis, type Evidence } from './diagnosed.ts'
import { changeText } from './in-vain.ts'
import { MomentEvent } from './moment-event.ts'
import {
  bothUnits,
  causeTitle,
  costText,
  firstCostText,
  hatchOf,
  remainderText,
  sinceStart,
  sureText,
} from './words.ts'

/** So many spans of one piece of evidence are offered to be looked at; a batch with more has them on its curves. */
const MOST_SPANS = 6

/** What went wrong, to be read in ten seconds: the first cause big, the others below, then what is not known. */
export class Causes extends LitElement {
  static override properties = {
    diagnosis: { attribute: false },
    replay: { attribute: false },
    unit: { attribute: false },
    startedMs: { attribute: false },
    nowMs: { attribute: false },
    open: { type: Boolean },
  }
  declare diagnosis: Diagnosis | null
  /** The batch itself: what called, and what its lot gives. */
  declare replay: Replay | null
  declare unit: TemperatureUnit
  declare startedMs: number
  declare nowMs: number
  /** The batch is still on its way. */
  declare open: boolean

  constructor() {
    super()
    this.diagnosis = null
    this.replay = null
    this.unit = 'C'
    this.startedMs = 0
    this.nowMs = 0
    this.open = false
  }

  static override styles = [shared, causesStyle]

  override render() {
    const { diagnosis } = this
    if (!diagnosis) return nothing
    const [first, ...others] = diagnosis.causes
    return html`
      ${first ? this.#first(first, diagnosis) : this.#none(diagnosis)}
      ${
        others.length > 0
          ? html`<section class="others">
              <h3>${others.length === 1 ? 'One more thing' : 'What else'}</h3>
              <ol start="2">
                ${others.map((cause, at) => html`<li>${this.#other(cause, at + 2)}</li>`)}
              </ol>
            </section>`
          : nothing
      }
      ${this.#risky(diagnosis)} ${this.#rest(diagnosis)}
    `
  }

  #risky({ risky, causes }: Diagnosis) {
    if (risky.length === 0) return nothing
    return html`<section class="others">
      <h3>Risky, without a loss by it that the count shows</h3>
      <ol start=${causes.length + 1}>
        ${risky.map(
          (cause, at) =>
            html`<li>
              <p><strong>${this.#said(cause.words)}</strong></p>
              <p>${this.#said(changeText(cause, this.replay))}</p>
              ${this.#evidence(cause, causes.length + at + 1)}
            </li>`,
        )}
      </ol>
    </section>`
  }

  #first(cause: Cause, { balance }: Diagnosis) {
    return html`<div class="first">
      <p class="big">${this.#said(cause.words)}</p>
      <dl>
        <dt>Cost</dt>
        <dd>${firstCostText(cause, balance, hatchOf(balance, this.replay?.forecast))}</dd>
        ${this.#when(cause)}
        <dt>Next time</dt>
        <dd>${this.#said(changeText(cause, this.replay))}</dd>
        <dt>Sure</dt>
        <dd>${sureText(cause)}</dd>
      </dl>
      ${this.#evidence(cause, 1)}
    </div>`
  }

  #none({ verdict, words }: Diagnosis) {
    const well = verdict === 'nothing' || (this.open && verdict === 'not-counted')
    return html`<div class=${well ? 'first well' : 'first'}>
      <p class="big">${this.#said(this.open && verdict === 'not-counted' ? OPEN_AND_WELL : words)}</p>
    </div>`
  }

  #when(cause: Cause) {
    const fromMs = beganMs(cause)
    if (fromMs === null)
      return html`<dt>When</dt>
        <dd>all the time</dd>`
    return html`<dt>Began</dt>
      <dd>
        <button class="span" @click=${() => this.#go(fromMs)}>
          ${moment(fromMs, this.nowMs, zone)}, after ${sinceStart(fromMs - this.startedMs)}
        </button>
      </dd>`
  }

  #other(cause: Cause, rank: number) {
    const cost = costText(cause, this.diagnosis && hatchOf(this.diagnosis.balance, this.replay?.forecast))
    return html`<p><strong>${this.#said(cause.words)}</strong></p>
      <p class="soft">${sureText(cause)}${cost === '' ? '' : `; ${cost}`}</p>
      <p>${this.#said(changeText(cause, this.replay))}</p>
      ${this.#evidence(cause, rank)}`
  }

  #evidence({ evidence, kind }: Cause, rank: number) {
    if (evidence.length === 0) return nothing
    return html`<details ?open=${rank === 1 && evidence.some(({ spans }) => spans.length > 0)}>
      <summary>What shows it<span class="hidden">: ${causeTitle(kind)}</span></summary>
      <ul class="evidence">
        ${evidence.map(
          each =>
            html`<li>
              <span>${this.#said(each.words)}</span>
              ${this.#spans(each)}
              <span class="source soft">${this.#said(each.source)}</span>
            </li>`,
        )}
      </ul>
    </details>`
  }

  #spans({ spans, words }: Evidence) {
    if (spans.length === 0) return nothing
    const more = spans.length - MOST_SPANS
    return html`<span class="spans">
      ${spans.slice(0, MOST_SPANS).map(({ from, to }) => {
        const [fromMs, toMs] = [Date.parse(from), Date.parse(to)]
        return html`<button class="span" @click=${() => this.#go(fromMs)}>
          <span class="hidden">Look at: ${this.#said(words)} </span>${moment(fromMs, this.nowMs, zone)} to
          ${next(toMs, fromMs, this.nowMs, zone)}
        </button>`
      })}
      ${more > 0 ? html`<span class="soft">and ${more} more on the curves</span>` : nothing}
    </span>`
  }

  #rest({ balance, blindSpots, ruledOut, causes }: Diagnosis) {
    const remainder = causes.length > 0 ? remainderText(balance) : ''
    return html`
      ${
        remainder === ''
          ? nothing
          : html`<section>
              <h3>Unexplained</h3>
              <p>${remainder}</p>
            </section>`
      }
      ${
        blindSpots.length === 0
          ? nothing
          : html`<details>
              <summary>
                What the record cannot tell: ${blindSpots.length}
                ${blindSpots.length === 1 ? 'thing' : 'things'}
              </summary>
              <ul class="plain">
                ${blindSpots.map(spot => html`<li>${this.#said(spot)}</li>`)}
              </ul>
            </details>`
      }
      ${
        ruledOut.length === 0
          ? nothing
          : html`<details>
              <summary>Looked at and not blamed: ${ruledOut.length}</summary>
              <ul class="plain">
                ${ruledOut.map(
                  cause =>
                    html`<li>${this.#said(cause.words)} <span class="soft">${sureText(cause)}.</span></li>`,
                )}
              </ul>
            </details>`
      }
    `
  }

  #said(words: string): string {
    return bothUnits(words, this.unit)
  }
  #go(atMs: number): void {
    this.dispatchEvent(new MomentEvent(atMs))
  }
}
customElements.define('bw-causes', Causes)

const OPEN_AND_WELL = 'Nothing has gone wrong so far that the record shows. The batch is still on its way.'
