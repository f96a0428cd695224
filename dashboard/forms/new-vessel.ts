import { html, LitElement } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import { request } from '../state/api.ts'
import { FormDraft } from '../state/draft.ts'
import { go, vesselPath } from '../state/route.ts'
import { shared } from '../style/shared.ts'
import { foot, Sending } from './form.ts'
import { readVessel, vesselFields } from './vessel-fields.ts'

/** Makes a vessel: a name that is written on it, and how much water it takes. */
export class NewVesselForm extends LitElement {
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () => 'new-vessel')
  static override styles = shared

  override render() {
    return html`<form novalidate @submit=${this.#submit}>
      ${vesselFields(
        this.#sending,
        { name: '', litres: 1 },
        {
          name: 'As it is written on it: “left cone”',
          litres: 'As you fill it, with room for foam: 1 in a bottle of 2',
        },
      )}
      ${foot(this.#sending, html`<button ?disabled=${this.#sending.busy}>Add this vessel</button>`)}
    </form>`
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const facts = readVessel(event.currentTarget as HTMLFormElement, this.#sending)
    if (!facts) return
    let made: Vessel | undefined
    const done = await this.#sending.send(async () => {
      made = await request<Vessel>('POST', '/vessels', facts)
    })
    if (!done || !made) return
    this.#draft.drop()
    go(vesselPath(made.id))
  }
}
defineFor('owner', 'bw-new-vessel', NewVesselForm)
