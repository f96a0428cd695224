import { css, html, LitElement, nothing } from 'lit'
import type { Vessel } from '../../broker/web/api/schemas.ts'
import { request } from '../state/api.ts'
import { go, vesselPath } from '../state/route.ts'
import { shared } from '../style/shared.ts'
import { field, fieldText, readNumber, Sending } from './form.ts'

/** Makes a vessel: a name that is written on it, and how much it holds. */
export class NewVesselForm extends LitElement {
  readonly #sending = new Sending(this)
  static override styles = [
    shared,
    css`
      :host {
        display: block;
      }
    `,
  ]

  override render() {
    const { busy, problem } = this.#sending
    return html`<form novalidate @submit=${this.#submit}>
      <div class="pair">
        ${field(
          'name',
          'Name',
          this.#sending,
          at =>
            html`<input
              id=${at.id}
              name="name"
              aria-describedby=${at.describedBy}
              aria-invalid=${at.invalid}
              required
              maxlength="80"
              autocomplete="off"
            />`,
          'As it is written on it: “left cone”',
        )}
        ${field(
          'litres',
          'Holds, in litres',
          this.#sending,
          at =>
            html`<input
              id=${at.id}
              name="litres"
              aria-describedby=${at.describedBy}
              aria-invalid=${at.invalid}
              required
              inputmode="decimal"
              autocomplete="off"
              value="2"
            />`,
          'To the brim; 0.5 to 20 for most',
        )}
      </div>
      ${problem ? html`<p class="failed" role="alert">${problem}</p>` : nothing}
      <div class="row"><button ?disabled=${busy}>Add this vessel</button></div>
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
    let made: Vessel | undefined
    const done = await this.#sending.send(async () => {
      made = await request<Vessel>('POST', '/vessels', { name, litres })
    })
    if (done && made) go(vesselPath(made.id))
  }
}
customElements.define('bw-new-vessel', NewVesselForm)
