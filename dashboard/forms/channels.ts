import { css, html, LitElement, nothing } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { Device } from '../../broker/web/api/devices.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import { request } from '../state/api.ts'
import { Watch } from '../state/watch.ts'
import { shared } from '../style/shared.ts'
import { offersFor, type Role, ROLES, ROLE_WORDS, shortValue } from '../words/channel.ts'
import type { TemperatureUnit } from '../words/temperature.ts'
import { field, fieldText, foot, line, readNumber, Sending } from './form.ts'
import { keptNumber, Kind, shownNumber } from './kept-number.ts'

/** How far an offset may go, in the kept unit: as the broker has it. */
const FARTHEST: Record<Role, number> = {
  water: 10,
  'upper-water': 10,
  room: 10,
  air: 100,
  light: 10_000,
  level: 1,
}
const kindOf = (role: Role): Kind => (role in PLAIN_UNIT ? Kind.plain : Kind.difference)
const PLAIN_UNIT: Partial<Record<Role, string>> = { air: 'l/min', light: 'lx', level: 'share of full' }
const unitOf = (role: Role, unit: TemperatureUnit): string =>
  kindOf(role) === Kind.difference ? `°${unit}` : (PLAIN_UNIT[role] ?? '')

interface Offer {
  readonly ref: string
  readonly device: string
  readonly channel: Device['channels'][number]
}

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
      device.channels.map(channel => ({
        ref: `${device.name}/${channel.name}`,
        device: device.name,
        channel,
      })),
    )
    return html`<form novalidate @submit=${this.#submit} @input=${this.#sending.changed}>
      <div class="pair">
        ${ROLES.map(role => this.#role(role, vessel, channels, settings.temperatureUnit))}
      </div>
      <p class="soft">
        The water probe, low in the cone, is what alarms and forecast go by. An upper one, near the surface,
        tells whether the water lies in layers.
      </p>
      ${this.#offsets(vessel, settings.temperatureUnit)}
      ${foot(this.#sending, html`<button class="quiet" ?disabled=${this.#sending.busy}>Save the channels</button>`)}
    </form>`
  }

  #role(role: Role, vessel: Vessel, channels: readonly Offer[], unit: TemperatureUnit) {
    const current = vessel.channels[role] ?? ''
    const { own, elsewhere, other } = offersFor(channels, role, vessel.id)
    const option = (value: string, text: string) =>
      html`<option value=${value} ?selected=${value === current}>${text}</option>`
    const all = (offers: readonly Offer[]) =>
      offers.map(({ ref, channel }) => option(ref, `${ref}: ${shortValue(channel, unit)}`))
    const offered = [...own, ...[...elsewhere.values()].flat(), ...other]
    // What stands there stays to be seen, though it is gone or would not be offered.
    const isOffered = current === '' || offered.some(({ ref }) => ref === current)
    return field(
      role,
      ROLE_WORDS[role],
      this.#sending,
      at =>
        html`<select
          id=${at.id}
          name=${role}
          aria-describedby=${at.describedBy}
          aria-invalid=${at.invalid}
          @change=${() => this.#sending.corrected(role)}
        >
          ${option('', 'not measured')} ${isOffered ? nothing : option(current, current)} ${all(own)}
          ${[...elsewhere].map(
            ([id, offers]) =>
              html`<optgroup label="On ${this.#vessels.value.get(id)?.name ?? 'another vessel'}">
                ${all(offers)}
              </optgroup>`,
          )}
          ${other.length === 0 ? nothing : html`<optgroup label="Other">${all(other)}</optgroup>`}
        </select>`,
    )
  }

  /** For a sensor that is known to read wrong; only what is measured can be set right. */
  #offsets(vessel: Vessel, unit: TemperatureUnit) {
    const measured = ROLES.filter(role => vessel.channels[role] !== null)
    if (measured.length === 0) return nothing
    const misfit = measured.some(role => this.#sending.fields.has(`offsets.${role}`))
    return html`<details ?open=${misfit || measured.some(role => vessel.offsets[role] !== 0)}>
      <summary>Set a sensor right</summary>
      <p class="soft">Calibration offset: added to every reading from now on.</p>
      <div class="pair">
        ${measured.map(role =>
          line(`offsets.${role}`, `${ROLE_WORDS[role]}, add ${unitOf(role, unit)}`, this.#sending, {
            value: String(shownNumber(vessel.offsets[role], kindOf(role), unit)),
          }),
        )}
      </div>
    </details>`
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const form = event.currentTarget as HTMLFormElement
    const { vessel } = this
    const settings = this.#settings.value
    if (!vessel || !settings) return
    const { offsets, wrong } = readOffsets(form, vessel, settings.temperatureUnit)
    if (wrong.size > 0) return this.#sending.refuse(wrong)
    const channels = Object.fromEntries(ROLES.map(role => [role, fieldText(form, role) || null]))
    const change = { ...channels, offsets }
    await this.#sending.send(() =>
      request('PUT', `/vessels/${encodeURIComponent(vessel.id)}/channels`, change),
    )
  }
}
defineFor('owner', 'bw-channels', ChannelsForm)

/** The offsets that were changed, of channels that stay: another sensor has its own, and starts without one. */
function readOffsets(form: HTMLFormElement, vessel: Vessel, unit: TemperatureUnit) {
  const offsets: Partial<Record<Role, number>> = {}
  const wrong = new Map<string, string>()
  for (const role of ROLES) {
    const before = vessel.offsets[role]
    if (vessel.channels[role] === null || fieldText(form, role) !== vessel.channels[role]) continue
    const typed = readNumber(fieldText(form, `offsets.${role}`).replace('−', '-'))
    const most = shownNumber(FARTHEST[role], kindOf(role), unit)
    if (typed === null || Math.abs(typed) > most)
      wrong.set(`offsets.${role}`, `Write a number from −${most} to ${most}.`)
    else {
      const offset = keptNumber(typed, before, kindOf(role), unit)
      if (offset !== before) offsets[role] = offset
    }
  }
  return { offsets, wrong }
}
