import { css, html, LitElement, nothing } from 'lit'
import type { Device, Vessel } from '../../broker/web/api/schemas.ts'
import { request } from '../state/api.ts'
import { Watch } from '../state/watch.ts'
import { shared } from '../style/shared.ts'
import { channelValue, ROLES, ROLE_WORDS } from '../words/channel.ts'
import { fieldText, foot, list, Sending } from './form.ts'

/** Which device's channel is in which part of a vessel. */
export class ChannelsForm extends LitElement {
  static override properties = { vessel: { attribute: false } }
  declare vessel: Vessel | null
  readonly #devices = new Watch(this, store => store.state.devices)
  readonly #vessels = new Watch(this, store => store.state.vessels)
  readonly #settings = new Watch(this, store => store.state.settings)
  readonly #sending = new Sending(this)

  constructor() {
    super()
    this.vessel = null
  }
  static override styles = [
    shared,
    css`
      .pair {
        grid-template-columns: repeat(auto-fit, minmax(min(100%, 250px), 1fr));
      }
    `,
  ]

  override render() {
    const { vessel } = this
    const settings = this.#settings.value
    if (!vessel || !settings) return nothing
    const channels = [...this.#devices.value.values()].flatMap(device =>
      device.channels.map(channel => ({ ref: `${device.name}/${channel.name}`, channel })),
    )
    const label = (ref: string, channel: Device['channels'][number]) => {
      const owner = channel.assignedTo ? this.#vessels.value.get(channel.assignedTo.vesselId) : undefined
      const place = owner && owner.id !== vessel.id ? `, now on ${owner.name}` : ''
      return `${ref} (${channelValue(channel, settings.temperatureUnit)}${place})`
    }
    const measured = channels.map(({ ref, channel }) => ({ value: ref, text: label(ref, channel) }))
    return html`<form novalidate @submit=${this.#submit} @input=${this.#sending.changed}>
      <div class="pair">
        ${ROLES.map(role => {
          const current = vessel.channels[role] ?? ''
          const known = current === '' || channels.some(({ ref }) => ref === current)
          return list(role, ROLE_WORDS[role], this.#sending, current, [
            { value: '', text: 'not measured' },
            ...(known ? [] : [{ value: current, text: current }]),
            ...measured,
          ])
        })}
      </div>
      ${foot(this.#sending, html`<button class="quiet" ?disabled=${this.#sending.busy}>Save the channels</button>`)}
    </form>`
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const form = event.currentTarget as HTMLFormElement
    const { vessel } = this
    if (!vessel) return
    const change = Object.fromEntries(ROLES.map(role => [role, fieldText(form, role) || null]))
    await this.#sending.send(() =>
      request('PUT', `/vessels/${encodeURIComponent(vessel.id)}/channels`, change),
    )
  }
}
customElements.define('bw-channels', ChannelsForm)
