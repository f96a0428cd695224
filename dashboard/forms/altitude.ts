import { html, LitElement, nothing } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { Settings } from '../../broker/web/api/schemas.ts'
import { request } from '../state/api.ts'
import { FormDraft } from '../state/draft.ts'
import { shared } from '../style/shared.ts'
import { fieldText, foot, line, readNumber, Sending } from './form.ts'

const FEET_PER_METRE = 3.28084

/** How high the room lies: it tells how long the oxygen lasts once the air is lost. */
export class AltitudeForm extends LitElement {
  static override properties = { settings: { attribute: false } }
  declare settings: Settings | null
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () => (this.settings ? 'altitude' : null))
  static override styles = shared

  constructor() {
    super()
    this.settings = null
  }

  override render() {
    const { settings } = this
    if (!settings) return nothing
    const { altitudeM } = settings
    return html`<form novalidate @submit=${this.#submit}>
      ${line('altitudeM', 'Height above the sea, metres', this.#sending, {
        value: String(altitudeM),
        hint: `${Math.round(altitudeM * FEET_PER_METRE).toLocaleString('en-US')} ft; within 100 m is near enough`,
        numeric: true,
      })}
      ${foot(this.#sending, html`<button ?disabled=${this.#sending.busy}>Keep this height</button>`)}
    </form>`
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const altitudeM = readNumber(fieldText(event.currentTarget as HTMLFormElement, 'altitudeM'))
    if (altitudeM === null || altitudeM < -430 || altitudeM > 5100)
      return this.#sending.refuse(new Map([['altitudeM', 'Write metres from -430 to 5,100.']]))
    if (await this.#sending.send(() => request('PUT', '/settings', { ...this.settings, altitudeM })))
      this.#draft.drop()
  }
}
defineFor('owner', 'bw-altitude', AltitudeForm)
