import type { ReactiveController, ReactiveControllerHost } from 'lit'
import { html, nothing, type TemplateResult } from 'lit'
import { ApiError } from '../state/api.ts'

/** Where a form stands: resting, sending, refused. */
export class Sending implements ReactiveController {
  busy = false
  /** It went through, and nothing was changed since. */
  saved = false
  /** What is wrong with the whole of it. */
  problem = ''
  /** What is wrong with single fields. */
  fields: ReadonlyMap<string, string> = new Map()
  readonly #host: ReactiveControllerHost & Element

  constructor(host: ReactiveControllerHost & Element) {
    this.#host = host
    host.addController(this)
  }
  hostConnected(): void {
    return
  }

  /** Runs what sends the form. Resolves true when it went through; otherwise what is wrong stands beside the fields. */
  async send(act: () => Promise<unknown>): Promise<boolean> {
    if (this.busy) return false
    this.saved = false
    this.#set(true, '', new Map())
    try {
      await act()
      this.saved = true
      this.#set(false, '', new Map())
      return true
    } catch (error) {
      if (error instanceof ApiError) {
        // The sentence above the form is for what no field can show.
        this.#set(false, error.fields.size > 0 ? '' : error.message, error.fields)
      } else this.#set(false, 'That did not work. Try again.', new Map())
      void this.#focusFirstWrong(error instanceof ApiError ? inWords(error) : '')
      return false
    }
  }

  /** Puts words beside fields without asking the broker. */
  refuse(fields: ReadonlyMap<string, string>): void {
    this.#set(false, '', fields)
    void this.#focusFirstWrong('')
  }

  /** For a form's input event: what was saved is no longer what stands there. */
  readonly changed = (): void => {
    if (!this.saved) return
    this.saved = false
    this.#host.requestUpdate()
  }

  /** Somebody is at work on this field: what was wrong with it is no longer said, nor what was wrong with the whole. */
  corrected(name: string): void {
    if (!this.fields.has(name) && this.problem === '') return
    this.#set(this.busy, '', new Map([...this.fields].filter(([field]) => field !== name)))
  }

  /** Says at once what is wrong with a field that was just left, or that nothing is any more; the hand stays where it is. */
  complain(name: string, words: string): void {
    const others = [...this.fields].filter(([field]) => field !== name)
    this.#set(this.busy, this.problem, new Map(words === '' ? others : [...others, [name, words]]))
  }

  #set(busy: boolean, problem: string, fields: ReadonlyMap<string, string>): void {
    this.busy = busy
    this.problem = problem
    this.fields = fields
    this.#host.requestUpdate()
  }

  async #focusFirstWrong(message: string): Promise<void> {
    await this.#host.updateComplete
    const wrong = this.#host.shadowRoot?.querySelector<HTMLElement>('[aria-invalid="true"]')
    // A button without fields has nothing that its field's words could stand beside: a refusal is never silent.
    if (!wrong && this.problem === '' && message !== '') return this.#set(false, message, this.fields)
    wrong?.focus({ preventScroll: true })
    wrong?.scrollIntoView({ block: 'center' })
  }
}

/** What is wrong, when there is no field that its words could stand beside. */
const inWords = ({ message, fields }: ApiError): string => [...fields.values()].join(' ') || message

/** A labelled field with its hint and what is wrong with it. `control` gets the ids to hang on to. */
export function field(
  name: string,
  label: string,
  sending: Sending,
  control: (at: { id: string; describedBy: string; invalid: 'true' | 'false' }) => TemplateResult,
  hint: unknown = nothing,
): TemplateResult {
  const id = `field-${name}`
  const wrong = sending.fields.get(name)
  return html`<div class="field">
    <label for=${id}>${label}</label>
    ${control({ id, describedBy: `${id}-hint ${id}-wrong`, invalid: wrong ? 'true' : 'false' })}
    <div class="notes">
      <span class="hint" id="${id}-hint">${hint}</span>
      <span class="wrong" id="${id}-wrong" ?hidden=${!wrong}>${wrong ?? ''}</span>
    </div>
  </div>`
}

/** What a one-line field is like, beside its name and label. */
interface LineOptions {
  readonly value?: string
  readonly hint?: unknown
  readonly numeric?: boolean
  readonly type?: 'text' | 'password' | 'datetime-local' | 'date'
  readonly autocomplete?: 'off' | 'current-password' | 'new-password' | 'username'
  readonly maxLength?: number
  readonly required?: boolean
  readonly onInput?: (text: string) => void
}

/** A field of one line. What a person typed stays there until `value` itself changes. */
export function line(
  name: string,
  label: string,
  sending: Sending,
  options: LineOptions = {},
): TemplateResult {
  const { value = '', hint = nothing, numeric, type = 'text', autocomplete = 'off', onInput } = options
  return field(
    name,
    label,
    sending,
    at =>
      html`<input
        id=${at.id}
        name=${name}
        type=${type}
        inputmode=${numeric ? 'decimal' : nothing}
        autocomplete=${autocomplete}
        maxlength=${options.maxLength ?? nothing}
        ?required=${options.required ?? false}
        .value=${value}
        aria-describedby=${at.describedBy}
        aria-invalid=${at.invalid}
        @input=${(event: InputEvent) => {
          sending.corrected(name)
          onInput?.((event.target as HTMLInputElement).value)
        }}
      />`,
    hint,
  )
}

/** A field with a list to choose from. */
export function list(
  name: string,
  label: string,
  sending: Sending,
  chosen: string,
  options: readonly { readonly value: string; readonly text: string }[],
  onChange?: (value: string) => void,
): TemplateResult {
  return field(
    name,
    label,
    sending,
    at =>
      html`<select
        id=${at.id}
        name=${name}
        aria-describedby=${at.describedBy}
        aria-invalid=${at.invalid}
        @change=${(event: Event) => {
          sending.corrected(name)
          onChange?.((event.target as HTMLSelectElement).value)
        }}
      >
        ${options.map(({ value, text }) => html`<option value=${value} ?selected=${value === chosen}>${text}</option>`)}
      </select>`,
  )
}

/** What is wrong with the whole of a form, where no field can show it. */
export const problem = (sending: Sending): TemplateResult | typeof nothing =>
  sending.problem ? html`<p class="failed" role="alert">${sending.problem}</p>` : nothing

/** A form's end: what is wrong with it, its buttons, and that it was saved. */
export const foot = (sending: Sending, buttons: unknown): TemplateResult =>
  html`${problem(sending)}
    <div class="row">
      ${buttons}
      <span role="status" class="said">${sending.saved ? 'Saved.' : ''}</span>
    </div>`

/** The number in a text that a person typed; a comma is a decimal point too. `null` when it is none. */
export function readNumber(text: string): number | null {
  const trimmed = text.trim().replace(',', '.')
  if (!/^-?\d+(\.\d*)?$|^-?\.\d+$/.test(trimmed)) return null
  return Number(trimmed)
}

/** The text of a named field of a form. */
export function fieldText(form: HTMLFormElement, name: string): string {
  const value = new FormData(form).get(name)
  return typeof value === 'string' ? value : ''
}
