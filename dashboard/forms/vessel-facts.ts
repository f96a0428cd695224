import { css, html, LitElement, nothing } from 'lit'
import type { Vessel } from '../../broker/web/api/schemas.ts'
import { request } from '../state/api.ts'
import { go } from '../state/route.ts'
import { shared } from '../style/shared.ts'
import { field, fieldText, readNumber, Sending } from './form.ts'

/** A vessel's name and size, and the way out of the room for one that is no longer used. */
export class VesselFacts extends LitElement {
  static override properties = {
    vessel: { attribute: false },
    saved: { state: true },
    asking: { state: true },
  }
  declare vessel: Vessel | null
  declare saved: boolean
  declare asking: boolean
  readonly #sending = new Sending(this)

  constructor() {
    super()
    this.vessel = null
    this.saved = false
    this.asking = false
  }
  static override styles = [
    shared,
    css`
      :host {
        display: block;
      }
    `,
  ]

  override render() {
    const { vessel } = this
    if (!vessel) return nothing
    return html`<form
      novalidate
      @submit=${this.#submit}
      @input=${() => {
        this.saved = false
      }}
    >
      <div class="pair">
        ${field(
          'name',
          'Name',
          this.#sending,
          at =>
            html`<input
              id=${at.id}
              name="name"
              maxlength="80"
              autocomplete="off"
              value=${vessel.name}
              aria-describedby=${at.describedBy}
              aria-invalid=${at.invalid}
            />`,
        )}
        ${field(
          'litres',
          'Holds, in litres',
          this.#sending,
          at =>
            html`<input
              id=${at.id}
              name="litres"
              inputmode="decimal"
              autocomplete="off"
              value=${vessel.litres}
              aria-describedby=${at.describedBy}
              aria-invalid=${at.invalid}
            />`,
        )}
      </div>
      ${this.#sending.problem ? html`<p class="failed" role="alert">${this.#sending.problem}</p>` : nothing}
      <div class="row">
        <button class="quiet" ?disabled=${this.#sending.busy}>Save</button>
        ${
          this.asking
            ? html`<button type="button" ?disabled=${this.#sending.busy} @click=${this.#retire}>
                Yes, take it off the shelf
              </button>`
            : html`<button
                type="button"
                class="quiet"
                @click=${() => {
                  this.asking = true
                }}
              >
                Take it off the shelf
              </button>`
        }
        <span role="status" class="said">${this.saved ? 'Saved.' : ''}</span>
      </div>
    </form>`
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const form = event.currentTarget as HTMLFormElement
    const name = fieldText(form, 'name').trim()
    const litres = readNumber(fieldText(form, 'litres'))
    const wrong = new Map<string, string>()
    if (name === '') wrong.set('name', 'Give it a name.')
    if (litres === null || litres <= 0 || litres > 100)
      wrong.set('litres', 'Write litres above 0, up to 100.')
    if (wrong.size > 0) return this.#sending.refuse(wrong)
    this.saved = await this.#sending.send(() => request('PATCH', this.#path(), { name, litres }))
  }

  readonly #retire = async (): Promise<void> => {
    if (await this.#sending.send(() => request('DELETE', this.#path()))) go('/')
    else this.asking = false
  }

  #path(): string {
    return `/vessels/${encodeURIComponent(this.vessel?.id ?? '')}`
  }
}
customElements.define('bw-vessel-facts', VesselFacts)
