import { html, LitElement, nothing } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import { request } from '../state/api.ts'
import { FormDraft } from '../state/draft.ts'
import { go } from '../state/route.ts'
import { shared } from '../style/shared.ts'
import { foot, Sending } from './form.ts'
import { readVessel, vesselFields } from './vessel-fields.ts'

/** A vessel's name and size, and the way out of the room for one that is no longer used. */
export class VesselFacts extends LitElement {
  static override properties = { vessel: { attribute: false }, asking: { state: true } }
  declare vessel: Vessel | null
  declare asking: boolean
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () => (this.vessel ? `vessel-facts.${this.vessel.id}` : null))

  constructor() {
    super()
    this.vessel = null
    this.asking = false
  }
  static override styles = shared

  override render() {
    if (!this.vessel) return nothing
    const { busy } = this.#sending
    const ask = (asking: boolean) => () => {
      this.asking = asking
    }
    const retire = this.asking
      ? html`<button type="button" ?disabled=${busy} @click=${this.#retire}>
            Yes, take it off the shelf
          </button>
          <button type="button" class="quiet keep" ?disabled=${busy} @click=${ask(false)}>
            No, keep it
          </button>`
      : html`<button type="button" class="quiet" @click=${ask(true)}>Take it off the shelf</button>`
    return html`<form novalidate @submit=${this.#submit} @input=${this.#sending.changed}>
      ${vesselFields(this.#sending, this.vessel)}
      ${foot(this.#sending, html`<button class="quiet" ?disabled=${busy}>Save</button>${retire}`)}
    </form>`
  }

  override updated(changed: Map<PropertyKey, unknown>): void {
    if (changed.has('asking') && this.asking) this.renderRoot.querySelector<HTMLElement>('.keep')?.focus()
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const facts = readVessel(event.currentTarget as HTMLFormElement, this.#sending)
    if (facts && (await this.#sending.send(() => request('PATCH', this.#path(), facts)))) this.#draft.drop()
  }

  readonly #retire = async (): Promise<void> => {
    const id = this.vessel?.id
    if (await this.#sending.send(() => request('DELETE', this.#path()))) return go('/')
    if (id === this.vessel?.id) this.asking = false
  }

  #path(): string {
    return `/vessels/${encodeURIComponent(this.vessel?.id ?? '')}`
  }
}
defineFor('owner', 'bw-vessel-facts', VesselFacts)
