import { css, html, LitElement, nothing, type PropertyValues } from 'lit'
import type { Caught } from '../../broker/web/api/sooner.ts'
import type { Settings } from '../../broker/web/api/schemas.ts'
import { problem, Sending } from '../forms/form.ts'
import { ApiError, request } from '../state/api.ts'
import { batchPath, tryOutPath } from '../state/route.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import {
  calledText,
  proposalText,
  refusedText,
  type Sooner,
  soonerText,
  type Spell,
  todayText,
} from './caught-words.ts'

/** How often it is asked how far the search is, ms. */
const ASK_EVERY_MS = 700
/** Whoever scrubs or plays is not slowed by a search: it begins, and is asked after, once they have let go for so long, ms. */
const RESTED_MS = 4000

/** What called when the batch was spoilt, and which setting would have called sooner; it can be taken over from here. */
export class CaughtPart extends LitElement {
  static override properties = {
    batchId: { attribute: false },
    cause: { attribute: false },
    settings: { attribute: false },
    judged: { attribute: false },
    fallback: { attribute: false },
    nowMs: { attribute: false },
    untilMs: { attribute: false },
    hot: { attribute: false },
    caught: { state: true },
    failed: { state: true },
    asking: { state: true },
    used: { state: true },
    stopped: { state: true },
  }
  declare batchId: string
  /** About which cause; empty for the first. */
  declare cause: string
  declare settings: Settings | null
  /** The diagnosis is there: without one there is nothing to ask for. */
  declare judged: boolean
  /** What called first, whatever it was about: where nothing is blamed that is all there is to say. */
  declare fallback: string
  declare nowMs: number
  /** When the batch ended; `undefined` while it is going on. */
  declare untilMs: number | undefined
  /** When the water was above its limit, where the cause is that. */
  declare hot: readonly Spell[] | undefined
  declare caught: Caught | null
  declare failed: string
  /** The person is asked whether the setting is to be taken over. */
  declare asking: boolean
  /** In words, what was taken over. */
  declare used: string
  /** The person has ended the search. */
  declare stopped: boolean
  readonly #sending = new Sending(this)
  /** Counts what was begun, so that late answers of another batch are known. */
  #turn = 0
  /** When somebody scrubbed or played last, by the page's own clock, ms. */
  #stirredMs = 0
  /** Where to end the search that was begun last: the batch may be another one by then. */
  #begun = ''

  constructor() {
    super()
    this.batchId = ''
    this.cause = ''
    this.settings = null
    this.judged = false
    this.fallback = ''
    this.nowMs = 0
    this.caught = null
    this.failed = ''
    this.asking = false
    this.used = ''
    this.stopped = false
  }

  static override styles = [
    shared,
    css`
      :host {
        display: grid;
        gap: 14px;
      }
      .found {
        font-weight: 650;
        text-wrap: pretty;
      }
      progress {
        width: 100%;
        height: 8px;
        accent-color: var(--nauplii);
      }
      .asking {
        display: grid;
        gap: 10px;
        border-left: 4px solid var(--nauplii);
        padding-left: 14px;
      }
    `,
  ]

  override disconnectedCallback(): void {
    super.disconnectedCallback()
    this.#leave()
  }

  override willUpdate(changed: PropertyValues<this>): void {
    if (changed.has('batchId') || changed.has('cause')) {
      this.#leave()
      this.caught = null
      this.failed = ''
      this.asking = false
      this.used = ''
      this.stopped = false
    }
    if (
      (changed.has('batchId') || changed.has('cause') || changed.has('judged')) &&
      this.judged &&
      this.batchId !== ''
    )
      void this.#look(++this.#turn)
  }

  override render() {
    const { caught } = this
    return html`<section>
        <h3>What called</h3>
        <p>${this.#called()}</p>
      </section>
      ${caught?.cause ? this.#sooner(caught) : nothing}`
  }

  /** While it is not known what called for it, nothing is said of that. */
  #called(): string {
    const { caught } = this
    if (caught?.cause) return calledText(caught, this.#reader, this.fallback)
    return caught === null && this.cause !== '' && this.failed === ''
      ? 'Looking at what called…'
      : this.fallback
  }

  get #reader() {
    return { nowMs: this.nowMs, untilMs: this.untilMs, zone, hot: this.hot }
  }

  #sooner(caught: Caught) {
    const { settings, failed } = this
    const { search, unwatched } = caught
    if (unwatched !== null)
      return html`<section>
        <h3>What would have called sooner</h3>
        <p>Nothing that was measured would have caught it. ${unwatched}</p>
      </section>`
    if (!settings) return nothing
    return html`<section>
      <h3>What would have called sooner</h3>
      <div role="status" aria-live="polite">
        ${failed === '' ? nothing : html`<p class="failed">${failed}</p>`}
        ${search?.state === 'failed' ? html`<p class="failed">${search.error}</p>` : nothing}
        ${search?.state === 'done' ? this.#found(caught, settings) : nothing}
        ${this.used === '' ? nothing : html`<p class="said">${this.used}</p>`}
      </div>
      ${this.#bar(search)} ${search?.found && this.used === '' ? this.#take(search.found, settings) : nothing}
    </section>`
  }

  #found(caught: Caught, settings: Settings) {
    const { search } = caught
    const today = todayText(caught, this.#reader)
    const refused = search?.refused ? refusedText(search, settings, this.#reader) : ''
    return html`${today === '' ? nothing : html`<p>${today}</p>`}
      <p class="found">${this.used === '' ? soonerText(caught, settings, this.#reader) : nothing}</p>
      ${
        refused === '' || !search?.refused
          ? nothing
          : html`<p class="soft">
              ${refused} <a href=${batchPath(search.refused.batchId)}>another batch</a>.
            </p>`
      }`
  }

  #bar(search: Caught['search']) {
    const idle = !search || search.state === 'cancelled' || search.state === 'failed'
    if (idle || this.stopped || this.failed !== '')
      return html`<button class="quiet" @click=${this.#again}>Look for a sooner call</button>`
    if (search.state === 'done') return nothing
    return html`<p class="soft">Trying other settings on this batch and on your others…</p>
      <progress max="1" .value=${search.progress} aria-label="How far the search is"></progress>
      <button class="quiet" @click=${this.#stop}>Stop</button>`
  }

  #take(found: Sooner, settings: Settings) {
    const { rule, setting } = found
    const link = html`<a class="button quiet" href=${tryOutPath(rule, setting, this.batchId)}
      >Try it out on past batches</a
    >`
    if (!this.asking)
      return html`<div class="row">
          <button id="take" @click=${() => this.#ask(true)}>Use this setting</button>
          ${link}
        </div>
        ${problem(this.#sending)}`
    return html`<div class="asking" role="group" aria-label="Use this setting?">
      <p>From now on, for all vessels: ${proposalText(found, settings)}.</p>
      <div class="row">
        <button id="sure" ?disabled=${this.#sending.busy} @click=${() => this.#use(found, settings)}>
          Yes, use it
        </button>
        <button class="quiet" @click=${() => this.#ask(false)}>Leave it as it is</button>
      </div>
      ${problem(this.#sending)}
    </div>`
  }

  /** The focus goes with the question, and back. */
  #ask(asking: boolean): void {
    this.asking = asking
    void this.updateComplete.then(() =>
      this.renderRoot.querySelector<HTMLElement>(asking ? '#sure' : '#take')?.focus(),
    )
  }

  async #use(found: Sooner, settings: Settings): Promise<void> {
    const words = proposalText(found, settings)
    const rules = { ...settings.rules, [found.rule]: found.setting }
    if (!(await this.#sending.send(() => request('PUT', '/settings', { ...settings, rules })))) return
    this.asking = false
    this.used = `Saved. From now on: ${words}.`
  }

  /** The person scrubs or plays: what can wait does. */
  stirred(): void {
    this.#stirredMs = performance.now()
  }
  async #rest(turn: number): Promise<void> {
    while (turn === this.#turn) {
      const leftMs = this.#stirredMs + RESTED_MS - performance.now()
      if (leftMs <= 0) return
      await new Promise(resolve => setTimeout(resolve, leftMs))
    }
  }

  get #path(): string {
    const about = this.cause === '' ? '' : `?cause=${this.cause}`
    return `/batches/${encodeURIComponent(this.batchId)}/caught${about}`
  }

  async #look(turn: number): Promise<void> {
    this.#begun = this.#path
    try {
      const caught = await request<Caught>('GET', this.#begun)
      if (turn !== this.#turn) return
      this.#keep(caught)
      if (caught.cause === null || caught.unwatched !== null || caught.search?.state === 'done') return
      this.stirred()
      await this.#rest(turn)
      if (turn === this.#turn) await this.#search(turn)
    } catch (error) {
      this.#fail(turn, error)
    }
  }

  async #search(turn: number): Promise<void> {
    try {
      this.#begun = this.#path
      let caught = await request<Caught>('POST', this.#begun)
      for (; turn === this.#turn; caught = await request<Caught>('GET', this.#path)) {
        this.#keep(caught)
        const state = caught.search?.state
        if (state !== 'waiting' && state !== 'running') return
        await new Promise(resolve => setTimeout(resolve, ASK_EVERY_MS))
        await this.#rest(turn)
        if (turn !== this.#turn) return
      }
    } catch (error) {
      this.#fail(turn, error)
    }
  }

  #keep(caught: Caught): void {
    this.caught = caught
    this.failed = ''
  }
  #fail(turn: number, error: unknown): void {
    if (turn !== this.#turn) return
    this.failed = error instanceof ApiError ? error.message : 'What called could not be read.'
  }

  readonly #again = (): void => {
    this.failed = ''
    this.stopped = false
    this.#stirredMs = -Infinity
    void this.#search(++this.#turn)
  }
  readonly #stop = (): void => {
    const { caught } = this
    this.#leave()
    this.stopped = true
    if (caught?.search) this.caught = { ...caught, search: { ...caught.search, state: 'cancelled' } }
  }

  /** Nobody waits for it any more. */
  #leave(): void {
    this.#turn++
    const state = this.caught?.search?.state
    if (state === 'waiting' || state === 'running') void request('DELETE', this.#begun).catch(() => undefined)
  }
}
customElements.define('bw-caught', CaughtPart)
