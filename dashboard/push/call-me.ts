import { css, html, LitElement, nothing } from 'lit'
import type { Phone, Phones } from '../../broker/web/api/push.ts'
import { fieldText, foot, line, problem, Sending } from '../forms/form.ts'
import { shared } from '../style/shared.ts'
import { duration } from '../words/time.ts'
import { store } from '../state/store.ts'
import { FormDraft } from '../state/draft.ts'
import { ableIn, surroundings, whyNot } from './able.ts'
import { addThisPhone, callPhone, dropPhone, lookAtPhones, ownId } from './phone.ts'

/** "Call me on this phone": adds this browser to those that are called, tries it out, and takes it back. */
export class CallMe extends LitElement {
  static override properties = {
    phones: { state: true },
    own: { state: true },
    said: { state: true },
  }
  /** `null` until the broker has answered. */
  declare phones: Phones | null
  /** This browser's id among the phones. */
  declare own: string | null
  /** What came of the last try, by phone. */
  declare said: { readonly id: string; readonly words: string; readonly arrived: boolean } | null
  readonly #adding = new Sending(this)
  readonly #draft = new FormDraft(this, () => 'call-me')
  readonly #acting = new Sending(this)

  static override styles = [
    shared,
    css`
      .phones {
        display: grid;
        gap: 12px;
        margin: 14px 0 20px;
      }
      form,
      .gone,
      .why {
        margin-top: 14px;
      }
      li {
        display: grid;
        gap: 8px;
        padding: 14px 16px;
        border: 1px solid var(--line);
        border-radius: 14px;
      }
      .gone,
      .why {
        border-left: 4px solid var(--ink-soft);
        padding: 4px 0 4px 12px;
        margin-bottom: 16px;
      }
      .why + form {
        display: none;
      }
    `,
  ]

  constructor() {
    super()
    this.phones = null
    this.own = null
    this.said = null
  }

  override connectedCallback(): void {
    super.connectedCallback()
    void this.#acting.send(() => this.#look())
  }

  override render() {
    const { phones } = this
    if (!phones) return html`${problem(this.#acting)}`
    return html`
      <p class="soft">
        The phone rings though this page is closed, with a button to acknowledge. Sound follows the phone: let
        brinewatch through its silent mode for the night.
      </p>
      ${phones.lost.map(
        ({ name, person, at }) =>
          html`<p class="gone" role="status">
            “${name}” of ${person} is called no more: ${duration(store.clock.nowMs() - Date.parse(at))} ago it
            said that it takes no calls from here. Add it again on that phone.
          </p>`,
      )}
      ${
        phones.phones.length === 0
          ? nothing
          : html`<ul class="phones">
              ${phones.phones.map(phone => this.#phone(phone))}
            </ul>`
      }
      ${problem(this.#acting)} ${this.#add(phones)}
    `
  }

  #phone(phone: Phone) {
    const { said } = this
    return html`<li>
      <strong>${phone.name}${phone.id === this.own ? ' (this one)' : ''}</strong>
      <span class="soft">calls ${phone.person}</span>
      <div class="row">
        <button
          class="quiet"
          ?disabled=${this.#acting.busy}
          aria-label="Try out ${phone.name}"
          @click=${() => this.#try(phone.id)}
        >
          Try it out
        </button>
        <button
          class="quiet"
          ?disabled=${this.#acting.busy}
          aria-label="Call ${phone.name} no more"
          @click=${() => this.#drop(phone.id)}
        >
          Call it no more
        </button>
      </div>
      <span role="status" class=${said?.arrived === false ? 'wrong' : 'soft'}
        >${said?.id === phone.id ? said.words : ''}</span
      >
    </li>`
  }

  #add({ phones, people }: Phones) {
    const why = whyNot(ableIn(surroundings()), location.origin)
    if (why !== null) return html`<p class="why">${why}</p>`
    if (phones.some(({ id }) => id === this.own)) return nothing
    return html`<form novalidate @submit=${this.#submit}>
      <div class="pair">
        ${line('person', 'Whose phone', this.#adding, { value: people[0]?.name ?? '', maxLength: 80 })}
        ${line('name', "This phone's name", this.#adding, { value: 'my phone', maxLength: 80 })}
      </div>
      ${foot(this.#adding, html`<button ?disabled=${this.#adding.busy}>Call me on this phone</button>`)}
    </form>`
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const form = event.currentTarget as HTMLFormElement
    const [person, name] = [fieldText(form, 'person').trim(), fieldText(form, 'name').trim()]
    const missing = new Map<string, string>()
    if (person === '') missing.set('person', 'Write who is called.')
    if (name === '') missing.set('name', 'Give the phone a name.')
    if (missing.size > 0) return this.#adding.refuse(missing)
    const added = await this.#adding.send(async () => {
      await addThisPhone(this.phones!.publicKey, name, person)
      await this.#changed()
    })
    if (added) this.#draft.drop()
  }

  async #try(id: string): Promise<void> {
    this.said = null
    await this.#acting.send(async () => {
      this.said = { id, ...(await callPhone(id)) }
      if (!this.said.arrived) await this.#changed()
    })
  }

  async #drop(id: string): Promise<void> {
    await this.#acting.send(async () => {
      await dropPhone(id)
      await this.#changed()
    })
  }

  /** The list of people beside this one holds the same phones. */
  async #changed(): Promise<void> {
    await this.#look()
    dispatchEvent(new CustomEvent('bw-phones'))
  }

  async #look(): Promise<void> {
    const able = ableIn(surroundings())
    // Whoever refuses notices may still look at the other phones.
    const [phones, own] = await Promise.all([
      lookAtPhones(),
      able === 'yes' ? ownId().catch(() => null) : null,
    ])
    this.phones = phones
    this.own = own
  }
}
customElements.define('bw-call-me', CallMe)
