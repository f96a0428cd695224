import type { ReactiveController, ReactiveControllerHost } from 'lit'
import { html, nothing, type TemplateResult } from 'lit'
import { ApiError } from '../state/api.ts'

/** Where a form stands: resting, sending, refused. */
export class Sending implements ReactiveController {
  busy = false
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
    this.#set(true, '', new Map())
    try {
      await act()
      this.#set(false, '', new Map())
      return true
    } catch (error) {
      if (error instanceof ApiError) {
        // The sentence above the form is for what no field can show.
        this.#set(false, error.fields.size > 0 ? '' : error.message, error.fields)
      } else this.#set(false, 'That did not work. Try again.', new Map())
      void this.#focusFirstWrong()
      return false
    }
  }

  /** Puts words beside fields without asking the broker. */
  refuse(fields: ReadonlyMap<string, string>): void {
    this.#set(false, '', fields)
    void this.#focusFirstWrong()
  }

  #set(busy: boolean, problem: string, fields: ReadonlyMap<string, string>): void {
    this.busy = busy
    this.problem = problem
    this.fields = fields
    this.#host.requestUpdate()
  }

  async #focusFirstWrong(): Promise<void> {
    await this.#host.updateComplete
    const wrong = this.#host.shadowRoot?.querySelector<HTMLElement>('[aria-invalid="true"]')
    wrong?.focus({ preventScroll: true })
    wrong?.scrollIntoView({ block: 'center' })
  }
}

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
    <span class="hint" id="${id}-hint">${hint}</span>
    <span class="wrong" id="${id}-wrong" ?hidden=${!wrong}>${wrong ?? ''}</span>
  </div>`
}

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
