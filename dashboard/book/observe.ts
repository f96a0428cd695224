import { css, html, LitElement, nothing } from 'lit'
import { keyed } from 'lit/directives/keyed.js'
import { defineFor } from '../frame/for-role.ts'
import type { BatchEvent, NewBatchEvent } from '../../broker/web/api/events.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import { fieldText, line, list, problem, readNumber, Sending } from '../forms/form.ts'
import { seenEvent, withdraw, writeDown } from '../forms/seen-event.ts'
import { dropDraft, FormDraft, hasDraft } from '../state/draft.ts'
import { Tick, Watch } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { seenText } from '../words/seen.ts'
import { toC } from '../words/temperature.ts'
import { moment } from '../words/time.ts'
import { sendPhoto } from './photo.ts'

/** What one tap writes down. */
const TAPS = [
  { kind: 'ring-knocked-down', name: 'Ring knocked down' },
  { kind: 'foam', name: 'Foam' },
  { kind: 'leak', name: 'Leak' },
] as const
/** What needs a number, too. */
const Measured = { ph: 'ph', salinity: 'salinity', temperature: 'temperature' } as const
type Measured = (typeof Measured)[keyof typeof Measured]
const MEASURED_NAMES: Readonly<Record<Measured, string>> = {
  ph: 'pH',
  salinity: 'Salinity',
  temperature: 'Temperature',
}
const draftOf = ({ id }: Batch, what: Measured): string => `measured.${what}.${id}`
const HOW = [
  { value: 'hydrometer', text: 'Hydrometer' },
  { value: 'refractometer', text: 'Refractometer' },
  { value: 'conductivity', text: 'Conductivity meter' },
  { value: 'other', text: 'Otherwise' },
]

/** What is seen along the way: a tap each, with a way back beside it. */
export class Observe extends LitElement {
  static override properties = {
    batch: { attribute: false },
    measuring: { state: true },
    last: { state: true },
  }
  declare batch: Batch | null
  /** Which number is being typed. */
  declare measuring: Measured | null
  /** What was written down last, as long as it can be taken back here. */
  declare last: BatchEvent | null
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () =>
    this.batch && this.measuring ? draftOf(this.batch, this.measuring) : null,
  )
  /** The batch whose half-typed number was looked for. */
  #lookedAt = ''
  readonly #tick = new Tick(this, 60_000)
  readonly #unit = new Watch(this, from => from.state.settings?.temperatureUnit ?? 'C')

  constructor() {
    super()
    this.batch = null
    this.measuring = null
    this.last = null
  }

  static override styles = [
    shared,
    css`
      :host {
        display: grid;
        gap: 12px;
      }
      .taps {
        display: grid;
        grid-template-columns: repeat(auto-fit, minmax(132px, 1fr));
        gap: 10px;
      }
      .taps button,
      .taps label {
        min-height: 60px;
        padding: 6px 8px;
        font-size: 1rem;
      }
      input[type='file'] {
        position: absolute;
        width: 1px;
        height: 1px;
        min-height: 0;
        opacity: 0;
        overflow: hidden;
      }
      label.button:focus-within {
        outline: 3px solid var(--ink);
        outline-offset: 3px;
      }
      .last {
        display: flex;
        flex-wrap: wrap;
        gap: 4px 16px;
        align-items: center;
        justify-content: space-between;
        padding: 6px 16px;
        background: var(--raised);
        border-left: 4px solid var(--right);
        border-radius: 4px;
      }
      .last button {
        min-height: 48px;
        border: 0;
        text-decoration: underline;
        text-underline-offset: 4px;
        font-weight: 500;
      }
    `,
  ]

  override willUpdate(): void {
    const { batch } = this
    if (!batch || batch.id === this.#lookedAt) return
    this.#lookedAt = batch.id
    this.measuring = Object.values(Measured).find(what => hasDraft(draftOf(batch, what))) ?? null
  }

  override render() {
    if (!this.batch) return nothing
    const { busy } = this.#sending
    return html`<div class="taps" role="group" aria-label="Along the way">
        ${TAPS.map(
          ({ kind, name }) =>
            html`<button class="quiet" ?disabled=${busy} @click=${() => void this.#write({ kind })}>
              ${name}
            </button>`,
        )}
        ${Object.values(Measured).map(
          what =>
            html`<button
              class="quiet"
              aria-expanded=${this.measuring === what ? 'true' : 'false'}
              @click=${() => void this.#measure(what)}
            >
              ${MEASURED_NAMES[what]}
            </button>`,
        )}
        <label class="button quiet"
          >Photo
          <input
            type="file"
            accept="image/*"
            capture="environment"
            ?disabled=${busy}
            @change=${this.#photo}
          />
        </label>
      </div>
      ${this.measuring ? keyed(this.measuring, this.#form(this.measuring)) : problem(this.#sending)}
      <div role="status">
        ${
          this.last
            ? html`<p class="last">
                <span
                  >${seenText(this.last, this.#unit.value)},
                  ${moment(Date.parse(this.last.at), this.#tick.nowMs, zone)}</span
                >
                <button class="quiet" @click=${this.#undo}>Take it back</button>
              </p>`
            : nothing
        }
      </div>`
  }

  #form(what: Measured) {
    const unit = this.#unit.value
    const label = {
      ph: 'pH, as it reads',
      salinity: 'Salt, grams per litre',
      temperature: `By a thermometer in the hand, °${unit}`,
    }[what]
    return html`<form novalidate @submit=${(event: SubmitEvent) => void this.#submit(event, what)}>
      ${line(what, label, this.#sending, { numeric: true, required: true })}
      ${what === Measured.salinity ? list('how', 'Measured with', this.#sending, 'hydrometer', HOW) : nothing}
      ${problem(this.#sending)}
      <div class="row">
        <button ?disabled=${this.#sending.busy}>Write it down</button>
        <button type="button" class="quiet" @click=${this.#leave}>Leave it</button>
      </div>
    </form>`
  }

  async #measure(what: Measured): Promise<void> {
    if (this.measuring === what) return this.#leave()
    this.measuring = what
    await this.updateComplete
    this.renderRoot.querySelector<HTMLElement>('form input')?.focus()
  }

  /** Shut by hand, it is given up. */
  readonly #leave = (): void => {
    this.#draft.drop()
    this.measuring = null
  }

  async #submit(event: SubmitEvent, what: Measured): Promise<void> {
    event.preventDefault()
    const form = event.currentTarget as HTMLFormElement
    const value = readNumber(fieldText(form, what))
    if (value === null) return this.#sending.refuse(new Map([[what, 'Write a number.']]))
    const { batch } = this
    if (!batch || !(await this.#write(this.#measured(what, value, form)))) return
    dropDraft(draftOf(batch, what))
    this.measuring = null
  }

  #measured(what: Measured, value: number, form: HTMLFormElement): NewBatchEvent {
    if (what === Measured.ph) return { kind: what, ph: value }
    if (what === Measured.temperature)
      return { kind: what, waterC: this.#unit.value === 'F' ? toC(value) : value }
    const how = fieldText(form, 'how') as 'hydrometer' | 'refractometer' | 'conductivity' | 'other'
    return { kind: what, salinityGpl: value, how }
  }

  async #write(event: NewBatchEvent): Promise<boolean> {
    const { batch } = this
    if (!batch) return false
    return this.#sending.send(async () => this.#take(await writeDown(batch.id, event)))
  }

  readonly #photo = async (event: Event): Promise<void> => {
    const input = event.target as HTMLInputElement
    const file = input.files?.[0]
    const { batch } = this
    if (!file || !batch) return
    await this.#sending.send(async () => this.#take(await sendPhoto(batch.id, file)))
    input.value = ''
  }

  #take(event: BatchEvent): void {
    this.last = event
    this.dispatchEvent(seenEvent(event))
  }

  readonly #undo = async (): Promise<void> => {
    const { last } = this
    if (!last) return
    await this.#sending.send(async () => {
      this.dispatchEvent(seenEvent(await withdraw(last)))
      this.last = null
    })
    await this.updateComplete
    this.renderRoot.querySelector<HTMLElement>('.taps button')?.focus()
  }
}
defineFor('helper', 'bw-observe', Observe)
