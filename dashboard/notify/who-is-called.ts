import { html, LitElement, nothing } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import { repeat } from 'lit/directives/repeat.js'
import type { NotifySettings } from '../../broker/web/api/notify.ts'
import { problem, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { hasDraft } from '../state/draft.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import {
  FROM_WORD,
  isOwnMachine,
  KIND_WORD,
  mailMissing,
  whatIsMissing,
  whenCalled,
} from '../words/called.ts'
import { inOrder, personDraft, withoutPerson, type Address, type Person } from './draft.ts'
import './heartbeat-form.ts'
import { MAIL_DRAFT } from './mail-form.ts'
import './person-form.ts'
import { RecentDeliveries } from './recent.ts'
import { notifyStyle } from './style.ts'
import './test-button.ts'

/** Somebody who is being added, in place of an id. */
const NEW = 'new'

/** Who is called, in which order and by what; with a test for each address, and what was sent of late. */
export class WhoIsCalled extends LitElement {
  static override properties = {
    settings: { state: true },
    lost: { state: true },
    editing: { state: true },
    dropping: { state: true },
  }
  declare settings: NotifySettings | null
  declare lost: boolean
  declare editing: string | null
  /** Who is about to be taken out. */
  declare dropping: string | null
  readonly #sending = new Sending(this)
  /** The mail form was left half-way: it stands open again. */
  readonly #mailBegun = hasDraft(MAIL_DRAFT)

  constructor() {
    super()
    this.settings = null
    this.lost = false
    this.editing = null
    this.dropping = null
  }

  static override styles = [shared, notifyStyle]

  override connectedCallback(): void {
    super.connectedCallback()
    void this.#ask()
    addEventListener('bw-phones', this.#phonesChanged)
  }
  override disconnectedCallback(): void {
    super.disconnectedCallback()
    removeEventListener('bw-phones', this.#phonesChanged)
  }
  /** A phone was added beside this list, perhaps with its owner. What somebody is writing stays. */
  readonly #phonesChanged = (): void => {
    if (this.editing === null) void this.#ask()
  }

  override render() {
    const { settings } = this
    if (this.lost)
      return html`<p class="failed" role="alert">This could not be looked up.</p>
        <div class="row"><button class="quiet" @click=${() => void this.#ask()}>Try again</button></div>`
    if (!settings) return html`<p class="soft">Looking it up…</p>`
    const missing = whatIsMissing(settings) || mailMissing(settings)
    const failing = settings.channels.filter(each => each.failing)
    return html`<section @bw-done=${this.#done} @bw-saved=${() => void this.#ask()} @bw-sent=${this.#sent}>
      ${missing === '' ? nothing : html`<p class="not">${missing}</p>`}
      ${failing.map(({ kind }) => html`<p class="not" role="alert">${KIND_WORD[kind]} does not get through now.</p>`)}
      ${
        settings.people.length > 0 && settings.linkBase !== null && isOwnMachine(settings.linkBase)
          ? html`<p class="not">
              Links in messages open on this machine only; start with <code>--lan</code> for a phone.
            </p>`
          : nothing
      }
      <ul aria-label="Who is called, in this order">
        ${repeat(
          inOrder(settings.people),
          ({ id }) => id,
          person => html`<li class="card">${this.#person(person, settings)}</li>`,
        )}
      </ul>
      ${problem(this.#sending)}
      ${
        this.editing === NEW
          ? html`<div class="card">
              <h3>Somebody new</h3>
              <bw-person .settings=${settings} .person=${null}></bw-person>
            </div>`
          : html`<div class="row">
              <button @click=${() => (this.editing = NEW)}>Add a person</button>
            </div>`
      }
      <details ?open=${this.#mailBegun}>
        <summary>How messages leave</summary>
        <bw-mail .settings=${settings}></bw-mail>
      </details>
      <details>
        <summary>If this machine dies</summary>
        <bw-heartbeat></bw-heartbeat>
      </details>
      <h3>Sent of late</h3>
      <bw-recent-deliveries></bw-recent-deliveries>
    </section>`
  }

  #person(person: Person, settings: NotifySettings) {
    if (this.editing === person.id)
      return html`<h3>${person.name}</h3>
        <bw-person .settings=${settings} .person=${person}></bw-person>`
    return html`<h3>${person.name}</h3>
      <p>${whenCalled(person, zone)}</p>
      ${person.addresses.length === 0 ? html`<p class="not">No address yet.</p>` : nothing}
      <ul class="ways">
        ${person.addresses.map(address => this.#address(person, address))}
      </ul>
      <div class="row">
        ${
          this.dropping === person.id
            ? html`<button
                  class="small"
                  ?disabled=${this.#sending.busy}
                  @click=${() => this.#drop(person, settings)}
                >
                  Call ${person.name} no more
                </button>
                <button class="quiet small" @click=${() => (this.dropping = null)}>Leave it</button>`
            : html`<button class="quiet small" @click=${() => (this.editing = person.id)}>
                  Change<span class="hidden"> ${person.name}</span>
                </button>
                <button class="quiet small" @click=${() => (this.dropping = person.id)}>
                  Call no more…<span class="hidden"> ${person.name}</span>
                </button>`
        }
      </div>`
  }

  #address(person: Person, address: Address) {
    const name = address.label || address.address || 'a browser'
    const more = address.label && address.address ? `: ${address.address}` : ''
    return html`<li class="way">
      <p>
        <strong>${KIND_WORD[address.kind]}</strong>, ${name}${more}<br />
        <span class="soft">${FROM_WORD[address.fromPriority]}${address.reminders ? ', reminders' : ''}</span>
      </p>
      <bw-notify-test
        .personId=${person.id}
        .addressId=${address.id}
        .what=${`${person.name}, ${name}`}
      ></bw-notify-test>
    </li>`
  }

  readonly #done = (): void => {
    this.editing = null
    void this.#ask()
  }

  readonly #sent = (): void => {
    const recent = this.shadowRoot?.querySelector('bw-recent-deliveries')
    if (recent instanceof RecentDeliveries) void recent.ask()
  }

  async #drop(person: Person, settings: NotifySettings): Promise<void> {
    const sent = withoutPerson(settings, person.id)
    if (await this.#sending.send(() => request('PUT', '/notify', sent))) await this.#ask()
  }

  async #ask(): Promise<void> {
    try {
      const settings = await request<NotifySettings>('GET', '/notify')
      // What was begun here and not saved stands open again.
      if (this.settings === null) this.editing = begun(settings)
      this.settings = settings
      this.lost = false
    } catch {
      this.lost = this.settings === null
    }
  }
}
defineFor('owner', 'bw-who-is-called', WhoIsCalled)

/** Whose form was left half-way; somebody new before those who are there already. */
function begun({ people }: NotifySettings): string | null {
  if (hasDraft(personDraft(null))) return NEW
  return people.find(({ id }) => hasDraft(personDraft(id)))?.id ?? null
}
