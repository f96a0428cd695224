import { css, html, LitElement, nothing, type PropertyValues } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import { request } from '../state/api.ts'
import { FormDraft } from '../state/draft.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { type CorrectionText, correctionText, readCorrection } from './correction.ts'
import { field, line, problem, Sending } from './form.ts'
import { KnownLots, lotField, lotStyle } from './lot-field.ts'

/** Something of a batch was corrected, or the batch was taken away. */
const correctedEvent = (): Event => new Event('bw-corrected', { bubbles: true, composed: true })

/** What was written down of a batch, to be set right; and the way out for one that was started by mistake. */
export class CorrectBatch extends LitElement {
  static override properties = {
    batch: { attribute: false },
    open: { state: true },
    typed: { state: true },
    asking: { state: true },
  }
  declare batch: Batch | null
  declare open: boolean
  declare typed: CorrectionText | null
  /** Whether it is being asked if the whole batch was a mistake. */
  declare asking: boolean
  readonly #sending = new Sending(this)
  readonly #lots = new KnownLots(this)
  readonly #draft = new FormDraft(this, () => (this.batch && this.open ? `correct.${this.batch.id}` : null))

  constructor() {
    super()
    this.batch = null
    this.open = false
    this.typed = null
    this.asking = false
  }

  static override styles = [
    shared,
    lotStyle,
    css`
      summary {
        font-weight: 500;
      }
      textarea {
        font: inherit;
        width: 100%;
        padding: 10px 14px;
        border: 2px solid var(--line-strong);
        border-radius: 14px;
        background: var(--raised);
        color: var(--ink);
      }
      form,
      .mistake {
        display: grid;
        gap: 18px;
        padding-bottom: 12px;
      }
    `,
  ]

  override willUpdate(changed: PropertyValues<this>): void {
    if (!changed.has('batch') || changed.get('batch')?.id === this.batch?.id) return
    this.asking = false
    this.typed = this.batch && this.open ? correctionText(this.batch, zone) : null
  }

  override render() {
    const { batch } = this
    if (!batch) return nothing
    return html`<details .open=${this.open} @toggle=${this.#toggled}>
      <summary>Correct what was written down</summary>
      ${this.open && this.typed ? this.#form(batch, this.typed) : nothing}
    </details>`
  }

  #form(batch: Batch, typed: CorrectionText) {
    const text = (name: keyof CorrectionText, label: string, options: { numeric?: true; time?: true } = {}) =>
      line(name, label, this.#sending, {
        value: typed[name],
        ...(options.numeric ? { numeric: true } : {}),
        ...(options.time ? { type: 'datetime-local' } : {}),
        onInput: value => this.#type(name, value),
      })
    return html`<form novalidate @submit=${this.#submit}>
        <div class="pair">
          ${text('litres', 'Water, litres', { numeric: true })}
          ${text('cystsG', 'Cysts, grams', { numeric: true })}
          ${text('salinityGpl', 'Salt, grams per litre', { numeric: true })}
        </div>
        ${lotField(this.#sending, this.#lots, typed.lot, lot => this.#type('lot', lot))}
        ${text('startedAt', 'When it was started', { time: true })}
        ${batch.endedAt === null ? nothing : text('endedAt', 'When it ended', { time: true })}
        ${field(
          'note',
          'Note',
          this.#sending,
          at =>
            html`<textarea
              id=${at.id}
              name="note"
              rows="2"
              maxlength="2000"
              aria-describedby=${at.describedBy}
              aria-invalid=${at.invalid}
              .value=${typed.note}
              @input=${(event: InputEvent) => this.#type('note', (event.target as HTMLTextAreaElement).value)}
            ></textarea>`,
        )}
        ${this.asking ? nothing : problem(this.#sending)}
        <div class="row">
          <button ?disabled=${this.#sending.busy}>Keep the correction</button>
          <span role="status" class="said">${this.#sending.saved ? 'Corrected.' : ''}</span>
        </div>
      </form>
      ${this.#mistake()}`
  }

  #mistake() {
    if (!this.asking)
      return html`<button
        type="button"
        class="quiet"
        @click=${() => {
          this.asking = true
        }}
      >
        It was started by mistake
      </button>`
    return html`<div class="mistake" role="group" aria-label="Take the batch away?">
      <p>
        <strong>Take this batch away?</strong> It is in no list any more, and no lot learns from it. What was
        measured stays.
      </p>
      ${problem(this.#sending)}
      <div class="row">
        <button type="button" ?disabled=${this.#sending.busy} @click=${this.#discard}>
          Yes, take it away
        </button>
        <button
          type="button"
          class="quiet keep"
          @click=${() => {
            this.asking = false
          }}
        >
          No, keep it
        </button>
      </div>
    </div>`
  }

  override updated(changed: PropertyValues<this>): void {
    if (changed.has('asking') && this.asking) this.renderRoot.querySelector<HTMLElement>('.keep')?.focus()
  }

  readonly #toggled = (event: Event): void => {
    const { open } = event.currentTarget as HTMLDetailsElement
    if (this.open && !open) this.#draft.drop()
    this.open = open
    if (this.open && this.batch && !this.typed) this.typed = correctionText(this.batch, zone)
    if (!this.open) this.typed = null
  }

  #type(name: keyof CorrectionText, value: string): void {
    this.#sending.corrected(name)
    this.#sending.changed()
    if (this.typed) this.typed = { ...this.typed, [name]: value }
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const { batch, typed } = this
    if (!batch || !typed) return
    const { change, wrong } = readCorrection(batch, typed, this.#lots.names, zone)
    if (wrong.size > 0) return this.#sending.refuse(wrong)
    if (Object.keys(change).length === 0)
      return this.#sending.refuse(new Map([['litres', 'Nothing is another than it was.']]))
    const path = `/batches/${encodeURIComponent(batch.id)}`
    let corrected: Batch | undefined
    const done = await this.#sending.send(async () => {
      corrected = await request<Batch>('PATCH', path, change)
    })
    if (!done || !corrected) return
    this.#draft.drop()
    this.typed = correctionText(corrected, zone)
    this.dispatchEvent(correctedEvent())
  }

  readonly #discard = async (): Promise<void> => {
    const { batch } = this
    if (!batch) return
    const path = `/batches/${encodeURIComponent(batch.id)}/discard`
    if (!(await this.#sending.send(() => request('POST', path)))) return
    this.asking = false
    this.dispatchEvent(correctedEvent())
  }
}
defineFor('helper', 'bw-correct-batch', CorrectBatch)
