import { css, html, LitElement, nothing, svg } from 'lit'
import { repeat } from 'lit/directives/repeat.js'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import { fieldText, problem, Sending } from '../forms/form.ts'
import { readVessel, vesselFields } from '../forms/vessel-fields.ts'
import { request } from '../state/api.ts'
import { FormDraft, hasDraft } from '../state/draft.ts'
import { Watch } from '../state/watch.ts'
import { shared } from '../style/shared.ts'
import { type ChannelGroup, groupText, unplacedGroups } from '../words/channel.ts'

/** A probe on its cable that hangs nowhere yet. */
const plug = svg`<svg viewBox="0 0 56 72" width="56" height="72" aria-hidden="true" fill="none" stroke="var(--kit)"
  stroke-width="3" stroke-linecap="round">
  <path d="M0 14 C26 10 40 16 34 34 C32 40 30 42 30 46" /><rect x="26" y="46" width="8" height="20" rx="4" fill="var(--kit)" />
  <path d="M14 50 q-4 6 0 12 M46 50 q4 6 0 12" stroke="var(--nauplii)" />
</svg>`

/** So many free vessels have a button of their own; the others are in a list. */
const SHOWN = 3

const nameOf = (device: string, group: ChannelGroup): string =>
  group.prefix === '' ? device : `${device} ${group.prefix}`

/** Where the name of its vessel is kept while it is typed. */
const draftOf = (key: string): string => `new-vessel-of.${key}`

/** Says that a device sends what belongs to no vessel yet, and places it in one tap. */
export class NewDevice extends LitElement {
  static override properties = { later: { state: true }, choosing: { state: true }, making: { state: true } }
  declare later: ReadonlySet<string>
  /** The notice whose list of all vessels is open. */
  declare choosing: string
  /** The notice for which a new vessel is being described. */
  declare making: string
  readonly #devices = new Watch(this, store => store.state.devices)
  readonly #vessels = new Watch(this, store => store.state.vessels)
  readonly #settings = new Watch(this, store => store.state.settings)
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () => (this.making === '' ? null : draftOf(this.making)))
  #looked = false

  constructor() {
    super()
    this.later = new Set()
    this.choosing = ''
    this.making = ''
  }

  static override styles = [
    shared,
    css`
      section {
        padding: 10px 16px 12px;
        background: var(--raised);
        border-bottom: 2px solid var(--line);
        display: grid;
        gap: 8px;
      }
      section > svg {
        display: none;
      }
      h2 {
        font-size: 1rem;
        font-weight: 400;
        text-wrap: balance;
      }
      form {
        display: flex;
        max-width: none;
      }
      select {
        width: auto;
        min-width: 0;
        max-width: 100%;
      }
      form.fresh {
        display: grid;
        max-width: 34rem;
      }
      .row {
        gap: 8px;
      }
      button {
        min-height: 48px;
        padding: 4px 10px;
        font-size: 0.9375rem;
      }
      @media (min-width: 720px) {
        section {
          padding-inline: 24px;
          grid-template-columns: 56px minmax(0, 1fr);
          gap: 8px 16px;
        }
        section > svg {
          display: block;
          grid-row: 1 / span 3;
        }
        section > :not(svg) {
          grid-column: 2;
        }
        button {
          padding-inline: 20px;
          font-size: 1rem;
        }
      }
    `,
  ]

  override render() {
    const settings = this.#settings.value
    if (!settings) return nothing
    const notices = [...this.#devices.value.values()].flatMap(device =>
      unplacedGroups(device).map(group => ({
        device: device.name,
        group,
        key: `${device.name}/${group.prefix}`,
      })),
    )
    // A vessel that was half named when the page closed is asked for again.
    if (!this.#looked && notices.length > 0) {
      this.#looked = true
      this.making = notices.find(({ key }) => hasDraft(draftOf(key)))?.key ?? ''
    }
    return repeat(
      notices.filter(({ key }) => !this.later.has(key)),
      ({ key }) => key,
      ({ device, group, key }) =>
        html`<section aria-label="New device ${device}">
          ${plug}
          <h2>
            <strong>${nameOf(device, group)}</strong> is new: ${groupText(group, settings.temperatureUnit)}
          </h2>
          ${
            this.making === key
              ? this.#fresh(device, group)
              : this.choosing === key
                ? this.#others(device, group, key)
                : this.#choices(device, group, key)
          }
          ${problem(this.#sending)}
        </section>`,
    )
  }

  /** Free vessels first: that is what a new device is most likely for. */
  #choices(device: string, group: ChannelGroup, key: string) {
    const { busy } = this.#sending
    const free = this.#free(group).slice(0, SHOWN)
    return html`<div class="row" role="group" aria-label="Which vessel is it on?">
      ${free.map(
        vessel =>
          html`<button ?disabled=${busy} @click=${() => this.#assign(device, group, vessel)}>
            <span><span class="hidden">Put it on </span>${vessel.name}</span>
          </button>`,
      )}
      <button
        class="quiet"
        ?disabled=${busy}
        @click=${() => {
          this.making = key
          void this.updateComplete.then(() =>
            this.renderRoot.querySelector<HTMLInputElement>('.fresh input')?.select(),
          )
        }}
      >
        A new vessel
      </button>
      ${
        this.#vessels.value.size > free.length
          ? html`<button
              class="quiet"
              aria-expanded="false"
              @click=${() => {
                this.choosing = key
              }}
            >
              ${free.length === 0 ? 'Replace…' : 'Another…'}
            </button>`
          : nothing
      }
      <button
        class="quiet"
        @click=${() => {
          this.later = new Set([...this.later, key])
        }}
      >
        Later
      </button>
    </div>`
  }

  /** What the new vessel is called and holds: asked before it is made, since its first batch goes by it. */
  #fresh(device: string, group: ChannelGroup) {
    return html`<form
      class="fresh"
      novalidate
      @submit=${(event: SubmitEvent) => {
        event.preventDefault()
        const facts = readVessel(event.currentTarget as HTMLFormElement, this.#sending)
        if (facts) void this.#make(device, group, facts)
      }}
    >
      ${vesselFields(
        this.#sending,
        { name: nameOf(device, group), litres: 1 },
        { name: 'As it is written on it', litres: 'As you fill it, with room for foam: 1 in a bottle of 2' },
      )}
      <div class="row">
        <button ?disabled=${this.#sending.busy}>Make it</button>
        <button
          type="button"
          class="quiet"
          @click=${() => {
            this.#draft.drop()
            this.making = ''
          }}
        >
          Back
        </button>
      </div>
    </form>`
  }

  /** Any vessel there is: a device may take the place of another. */
  #others(device: string, group: ChannelGroup, key: string) {
    const free = new Set(this.#free(group))
    const shelf = [...this.#vessels.value.values()]
    const id = `instead-${key}`
    return html`<form
      class="row"
      @submit=${(event: SubmitEvent) => {
        event.preventDefault()
        const vesselId = fieldText(event.currentTarget as HTMLFormElement, 'vessel')
        void this.#assign(device, group, { id: vesselId })
      }}
    >
      <label class="hidden" for=${id}>Vessel</label>
      <select id=${id} name="vessel">
        ${shelf.map(
          vessel =>
            html`<option value=${vessel.id}>
              ${vessel.name}${free.has(vessel) ? '' : ', in place of what measures it'}
            </option>`,
        )}
      </select>
      <button ?disabled=${this.#sending.busy}>Put it there</button>
      <button
        type="button"
        class="quiet"
        @click=${() => {
          this.choosing = ''
        }}
      >
        Back
      </button>
    </form>`
  }

  /** Vessels where none of the group's roles is taken. */
  #free(group: ChannelGroup): Vessel[] {
    return [...this.#vessels.value.values()].filter(vessel =>
      group.channels.every(({ role }) => vessel.channels[role] === null),
    )
  }

  #assign(device: string, group: ChannelGroup, vessel: Pick<Vessel, 'id'>): Promise<boolean> {
    const channels = Object.fromEntries(
      group.channels.map(({ role, channel }) => [role, `${device}/${channel.name}`]),
    )
    return this.#sending.send(() =>
      request('PUT', `/vessels/${encodeURIComponent(vessel.id)}/channels`, channels),
    )
  }

  async #make(device: string, group: ChannelGroup, facts: { name: string; litres: number }): Promise<void> {
    let made: Vessel | undefined
    const done = await this.#sending.send(async () => {
      made = await request<Vessel>('POST', '/vessels', facts)
    })
    if (!done || !made) return
    this.#draft.drop()
    this.making = ''
    await this.#assign(device, group, made)
  }
}
customElements.define('bw-new-device', NewDevice)
