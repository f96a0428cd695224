import { css, html, LitElement, nothing, type PropertyValues } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { BatchEvent } from '../../broker/web/api/events.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import { ApiError } from '../state/api.ts'
import { FormDraft, hasDraft } from '../state/draft.ts'
import { store } from '../state/store.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { localInput, moment } from '../words/time.ts'
import { fieldText, line, problem, Sending } from './form.ts'
import { seenEvent, withdraw, writeDown } from './seen-event.ts'

/** Where a time that is half set is kept. */
const swimmersDraft = ({ id }: Pick<Batch, 'id'>): string => `first-swimmers.${id}`

/** One tap says that the first nauplii swim; when they did can be set right, and the whole taken back. */
export class FirstSwimmers extends LitElement {
  static override properties = {
    batch: { attribute: false },
    first: { attribute: false },
    late: { type: Boolean },
    out: { attribute: false },
    against: { attribute: false },
    asking: { state: true },
    since: { state: true },
    told: { state: true },
    doubted: { state: true },
  }
  declare batch: Batch | null
  /** The entry that stands, if there is one. */
  declare first: BatchEvent | null
  /** So many are out that a tap for now would not be true: the time is asked for. */
  declare late: boolean
  /** What is out by the forecast, where that is so much that the first were hardly just now; empty else. */
  declare out: string
  /** What a count says against the entry that stands; empty for nothing. */
  declare against: string
  /** Whether it is asked since when they swim, before anything is written down. */
  declare since: boolean
  /** What was written down instead. */
  declare told: string
  /** Whether the time is being asked for. */
  declare asking: boolean
  /** What the broker asked back, and what is sent again if it is so: it is earlier than any that was published. */
  declare doubted: { readonly words: string; readonly at: string | undefined } | null
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () => (this.batch && this.asking ? swimmersDraft(this.batch) : null))
  /** When the time was asked for: set once, so that a ticking clock does not undo what was typed. */
  #openedMs = 0

  constructor() {
    super()
    this.batch = null
    this.first = null
    this.late = false
    this.out = ''
    this.against = ''
    this.asking = false
    this.since = false
    this.told = ''
    this.doubted = null
  }

  static override styles = [
    shared,
    css`
      .tap {
        width: 100%;
        min-height: 76px;
        border-radius: 20px;
        font-size: 1.25rem;
        background: var(--nauplii);
        color: var(--on-nauplii);
        border-color: var(--nauplii);
      }
      .late {
        width: 100%;
        min-height: 64px;
      }
      .tap svg {
        flex: none;
      }
      .done,
      form {
        display: grid;
        gap: 12px;
      }
      .done p {
        font-size: 1.125rem;
        font-weight: 650;
      }
      .done p.against {
        padding: 8px 14px;
        border-left: 4px solid var(--warm);
        font-size: 1rem;
        font-weight: 500;
      }
      .since {
        display: grid;
        gap: 10px;
      }
      .since button {
        min-height: 60px;
      }
      .row button {
        min-height: 48px;
        font-size: 1rem;
      }
    `,
  ]

  override willUpdate(changed: PropertyValues<this>): void {
    if (changed.has('batch') && changed.get('batch')?.id !== this.batch?.id) {
      // A time that was half set when the page closed is asked for again.
      this.asking = this.batch !== null && hasDraft(swimmersDraft(this.batch))
      this.doubted = null
      this.since = false
      this.told = ''
    }
  }

  override render() {
    const { batch, first } = this
    if (!batch) return nothing
    if (this.doubted) return this.#sure(this.doubted)
    if (this.asking) return this.#when(batch, first)
    if (!first && this.late)
      return html`<button class="quiet late" @click=${this.#askWhen}>When did the first swim?</button>`
    if (!first && this.since) return this.#sinceWhen()
    if (!first)
      return html`<button class="tap" ?disabled=${this.#sending.busy} @click=${this.#tapped}>
          <svg viewBox="-20 -16 40 32" width="40" height="32" aria-hidden="true">
            <g fill="none" stroke="currentColor" stroke-width="2.6" stroke-linecap="round">
              <ellipse rx="9" ry="5.5" fill="currentColor" />
              <path d="M4 -4 q5 -9 12 -8 M4 4 q5 9 12 8 M2 -5 q2 -7 8 -10 M2 5 q2 7 8 10" />
            </g>
          </svg>
          First swimmers now
        </button>
        <p role="status" ?hidden=${this.told === ''}>${this.told}</p>
        ${problem(this.#sending)}`
    const at = moment(Date.parse(first.at), store.clock.nowMs(), zone)
    return html`<div class="done">
      <p role="status">First swimmers at ${at}.</p>
      <p class="against" role="status" ?hidden=${this.against === ''}>${this.against}</p>
      ${problem(this.#sending)}
      <div class="row">
        <button
          class="quiet"
          @click=${() => {
            this.asking = true
          }}
        >
          ${this.against === '' ? 'At another time?' : 'Correct the time'}
        </button>
        <button class="quiet" ?disabled=${this.#sending.busy} @click=${this.#undo}>
          Undo<span class="hidden">: first swimmers</span>
        </button>
      </div>
    </div>`
  }

  #when(batch: Batch, first: BatchEvent | null) {
    const suggested = first ? Date.parse(first.at) : Math.max(Date.parse(batch.startedAt), this.#openedMs)
    return html`<form novalidate @submit=${this.#set}>
      ${line('at', 'When were the first seen?', this.#sending, {
        type: 'datetime-local',
        value: localInput(suggested, zone),
      })}
      ${problem(this.#sending)}
      <div class="row">
        <button ?disabled=${this.#sending.busy}>${first ? 'Set it right' : 'Write it down'}</button>
        <button
          type="button"
          class="quiet"
          @click=${() => {
            this.#draft.drop()
            this.asking = false
          }}
        >
          Leave it
        </button>
      </div>
    </form>`
  }

  /** Where many are out by the forecast, a tap would move it by hours: it is asked first what was seen. */
  #sinceWhen() {
    const { busy } = this.#sending
    return html`<div class="done" role="group" aria-labelledby="since">
      <p id="since" tabindex="-1">Since when? ${this.out} “Just now” makes it all later.</p>
      ${problem(this.#sending)}
      <div class="since">
        <button ?disabled=${busy} @click=${this.#askWhen}>For some hours</button>
        <button class="quiet" ?disabled=${busy} @click=${this.#onlyNow}>I only see them now</button>
        <button class="quiet" ?disabled=${busy} @click=${this.#now}>Just now: none swam before</button>
        <button
          class="quiet"
          @click=${() => {
            this.since = false
          }}
        >
          Leave it
        </button>
      </div>
    </div>`
  }

  readonly #tapped = async (): Promise<void> => {
    this.told = ''
    if (this.out === '') return this.#now()
    this.since = true
    await this.updateComplete
    this.renderRoot.querySelector<HTMLElement>('#since')?.focus()
  }

  readonly #askWhen = (): void => {
    this.#openedMs = store.clock.nowMs()
    this.since = false
    this.asking = true
  }

  /** Who had not looked before knows no time of the first: it is noted, and moves nothing. */
  readonly #onlyNow = async (): Promise<void> => {
    const { batch } = this
    if (!batch) return
    const text = 'Swimmers are out; nobody had looked before.'
    const done = await this.#sending.send(async () =>
      this.dispatchEvent(seenEvent(await writeDown(batch.id, { kind: 'note', text }))),
    )
    if (!done) return
    this.since = false
    this.told = 'Noted; the forecast stays as it is. Count a sample: that tells how many are out.'
    await this.updateComplete
    this.renderRoot.querySelector<HTMLElement>('.tap')?.focus()
  }

  #sure({ words, at }: { readonly words: string; readonly at: string | undefined }) {
    return html`<div class="done" role="group" aria-label="Is that so?">
      <p role="status">${words}.</p>
      <div class="row">
        <button ?disabled=${this.#sending.busy} @click=${() => void this.#insist(at)}>They do swim</button>
        <button
          class="quiet"
          @click=${() => {
            this.doubted = null
          }}
        >
          Leave it
        </button>
      </div>
    </div>`
  }

  async #insist(at: string | undefined): Promise<void> {
    const { batch } = this
    if (!batch) return
    const entry = { kind: 'first-swimmers', insist: true, ...(at === undefined ? {} : { at }) } as const
    await this.#sending.send(async () => this.dispatchEvent(seenEvent(await writeDown(batch.id, entry))))
    this.doubted = null
    this.asking = false
    await this.updateComplete
    this.renderRoot.querySelector<HTMLElement>('.done button')?.focus()
  }

  /** Turns an asking back into a question; anything else goes on as the error it is. */
  #asDoubt(error: unknown, at: string | undefined): void {
    if (!(error instanceof ApiError)) throw error
    if (error.fields.has('insist')) this.doubted = { words: error.message, at }
    // Where no time was asked for there is no field to say it beside.
    else throw this.asking ? error : new ApiError(error.status, error.message)
  }

  override updated(changed: PropertyValues<this>): void {
    if (changed.has('asking') && this.asking) this.renderRoot.querySelector('input')?.focus()
  }

  readonly #now = async (): Promise<void> => {
    const { batch } = this
    if (!batch) return
    await this.#sending.send(async () => {
      try {
        this.dispatchEvent(seenEvent(await writeDown(batch.id, { kind: 'first-swimmers' })))
      } catch (error) {
        this.#asDoubt(error, new Date(store.clock.nowMs()).toISOString())
      }
      this.since = false
    })
    await this.updateComplete
    this.renderRoot.querySelector<HTMLElement>('.done button')?.focus()
  }

  readonly #undo = async (): Promise<void> => {
    const { first } = this
    if (!first) return
    await this.#sending.send(async () => {
      this.dispatchEvent(seenEvent(await withdraw(first)))
    })
    await this.updateComplete
    this.renderRoot.querySelector<HTMLElement>('.tap')?.focus()
  }

  /** What is kept is never changed, and first swimmers stand once: the wrong one is taken back, then the right one written down. */
  readonly #set = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const { batch, first } = this
    const atMs = Date.parse(fieldText(event.currentTarget as HTMLFormElement, 'at'))
    if (Number.isNaN(atMs)) return this.#sending.refuse(new Map([['at', 'Choose a date and a time.']]))
    if (!batch) return
    const at = new Date(atMs).toISOString()
    const done = await this.#sending.send(async () => {
      if (first) this.dispatchEvent(seenEvent(await withdraw(first)))
      try {
        this.dispatchEvent(seenEvent(await writeDown(batch.id, { kind: 'first-swimmers', at })))
      } catch (error) {
        // A time that is refused leaves the entry standing as it was.
        if (first)
          this.dispatchEvent(
            seenEvent(await writeDown(batch.id, { kind: 'first-swimmers', at: first.at, insist: true })),
          )
        this.#asDoubt(error, at)
      }
    })
    if (!done) return
    this.#draft.drop()
    this.asking = false
    await this.updateComplete
    this.renderRoot.querySelector<HTMLElement>('.done button')?.focus()
  }
}
defineFor('helper', 'bw-first-swimmers', FirstSwimmers)
