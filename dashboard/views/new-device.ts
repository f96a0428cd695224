import { css, html, LitElement, nothing } from 'lit'
import { repeat } from 'lit/directives/repeat.js'
import type { Vessel } from '../../broker/web/api/schemas.ts'
import { Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { Watch } from '../state/watch.ts'
import { shared } from '../style/shared.ts'
import { type ChannelGroup, groupText, unplacedGroups } from '../words/channel.ts'

/** Says that a device sends what belongs to no vessel yet, and places it in one tap. */
export class NewDevice extends LitElement {
  static override properties = { later: { state: true } }
  declare later: ReadonlySet<string>
  readonly #devices = new Watch(this, store => store.state.devices)
  readonly #vessels = new Watch(this, store => store.state.vessels)
  readonly #settings = new Watch(this, store => store.state.settings)
  readonly #sending = new Sending(this)

  constructor() {
    super()
    this.later = new Set()
  }

  static override styles = [
    shared,
    css`
      :host {
        display: block;
      }
      section {
        margin: 14px 16px 4px;
        padding: 16px;
        background: var(--raised);
        border-left: 6px solid var(--brine);
      }
      .row {
        gap: 10px;
      }
      @media (min-width: 720px) {
        section {
          margin-inline: 24px;
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
    return repeat(
      notices.filter(({ key }) => !this.later.has(key)),
      ({ key }) => key,
      ({ device, group, key }) =>
        html`<section aria-label="New device ${device}">
          <h2>${device} is sending ${groupText(group, settings.temperatureUnit)}.</h2>
          <p>Which vessel is it on?</p>
          <div class="row">
            ${this.#free(group).map(
              vessel =>
                html`<button
                  ?disabled=${this.#sending.busy}
                  @click=${() => this.#assign(device, group, vessel)}
                >
                  ${vessel.name}
                </button>`,
            )}
            <button class="quiet" ?disabled=${this.#sending.busy} @click=${() => this.#make(device, group)}>
              A new vessel
            </button>
            <button
              class="quiet"
              @click=${() => {
                this.later = new Set([...this.later, key])
              }}
            >
              Later
            </button>
          </div>
          ${this.#sending.problem ? html`<p class="failed" role="alert">${this.#sending.problem}</p>` : nothing}
        </section>`,
    )
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

  /** Named after the device for now; its page is where it gets its own name. */
  async #make(device: string, group: ChannelGroup): Promise<void> {
    let made: Vessel | undefined
    const name = group.prefix === '' ? device : `${device} ${group.prefix}`
    const done = await this.#sending.send(async () => {
      made = await request<Vessel>('POST', '/vessels', { name, litres: 2 })
    })
    if (done && made) await this.#assign(device, group, made)
  }
}
customElements.define('bw-new-device', NewDevice)
