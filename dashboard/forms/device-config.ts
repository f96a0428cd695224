import { css, html, LitElement, nothing } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { ChangeDeviceConfig, DeviceConfig } from '../../broker/web/api/device-config.ts'
import type { Device } from '../../broker/web/api/devices.ts'
import { request } from '../state/api.ts'
import { FormDraft } from '../state/draft.ts'
import { shared } from '../style/shared.ts'
import { deviceSettingsWords, inForceWords } from '../words/device-settings.ts'
import type { TemperatureUnit } from '../words/temperature.ts'
import { fieldText, foot, line, readNumber, Sending } from './form.ts'
import { Kind, keptNumber, shownNumber } from './kept-number.ts'

type Channel = Device['channels'][number]
type Side = 'low' | 'high'
type WholeNumber = 'sampleIntervalS' | 'reportIntervalS' | 'silentBrokerMinutes'

/** How a device measures, when it sounds by itself, and whether it goes by that yet. */
export class DeviceConfigForm extends LitElement {
  static override properties = {
    device: { attribute: false },
    unit: { attribute: false },
    config: { state: true },
    lost: { state: true },
  }
  declare device: Device | null
  declare unit: TemperatureUnit
  declare config: DeviceConfig | null
  declare lost: boolean
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () =>
    this.device && this.config ? `device-config.${this.device.name}` : null,
  )
  #asked: string | null = null

  static override styles = [
    shared,
    css`
      form {
        margin-top: 12px;
      }
      fieldset {
        border: 0;
        border-top: 1px solid var(--line);
        margin: 0;
        padding: 12px 0 0;
        display: grid;
        gap: 12px;
      }
      legend {
        padding: 0;
        float: left;
        font-weight: 650;
      }
      legend + * {
        clear: both;
      }
    `,
  ]

  constructor() {
    super()
    this.device = null
    this.unit = 'C'
    this.config = null
    this.lost = false
  }

  /** The device comes with the first update: what this page is made of may have been there before this part of it. */
  protected override willUpdate(): void {
    if (this.#asked === this.device?.name || !this.device) return
    this.#asked = this.device.name
    void this.#ask()
  }

  override render() {
    const { device, config } = this
    if (this.lost)
      return html`<p class="failed" role="alert">This could not be looked up.</p>
        <div class="row"><button class="quiet" @click=${() => void this.#ask()}>Try again</button></div>`
    if (!device || !config) return html`<p class="soft">Looking it up…</p>`
    const number = (name: WholeNumber, label: string, hint: string) =>
      line(name, label, this.#sending, { value: String(config[name]), numeric: true, hint })
    const channels = this.#channels(device, config)
    return html`<p>${deviceSettingsWords(config)}</p>
      <p role="status" class="soft">${inForceWords(config.revision, device.configRevision, device.online)}</p>
      <form novalidate @submit=${this.#submit} @input=${this.#sending.changed}>
        <div class="pair">
          ${number('sampleIntervalS', 'Seconds between samples', '1 to 3,600')}
          ${number('reportIntervalS', 'Seconds between packs', 'Each carries every sample since the last.')}
        </div>
        ${number(
          'silentBrokerMinutes',
          'Minutes without an answer until it sounds by itself',
          'Then nobody watches: this machine is down, or the network. 0: it never sounds for that.',
        )}
        ${
          channels.length === 0
            ? nothing
            : html`<p class="soft">
                Limits that the device watches by itself, even without a network. Empty: none. They are for
                its buzzer alone; whom to call is in the settings of the room.
              </p>`
        }
        ${channels.map(channel => this.#limits(channel, config))}
        ${foot(this.#sending, html`<button ?disabled=${this.#sending.busy}>Tell ${device.name}</button>`)}
      </form>`
  }

  /** What a limit can be for: all that it measures, and what has one though it is not measured now. */
  #channels(device: Device, config: DeviceConfig): Pick<Channel, 'name' | 'unit'>[] {
    const measured = device.channels.map(({ name, unit }) => ({ name, unit }))
    const known = new Set(measured.map(({ name }) => name))
    const others = Object.keys(config.limits).filter(name => !known.has(name))
    return [...measured, ...others.map(name => ({ name, unit: '' }))].sort((a, b) =>
      a.name.localeCompare(b.name),
    )
  }

  #limits({ name, unit }: Pick<Channel, 'name' | 'unit'>, config: DeviceConfig) {
    const shown = (side: Side) => {
      const kept = config.limits[name]?.[side]
      return kept === undefined ? '' : String(shownNumber(kept, kindOf(unit), this.unit))
    }
    const inUnit = unit === 'Cel' ? ` °${this.unit}` : unit === '' ? '' : ` ${unit}`
    return html`<fieldset>
      <legend>${name}${inUnit === '' ? nothing : html`,${inUnit}`}</legend>
      <div class="pair">
        ${line(fieldOf(name, 'low'), 'Sound below', this.#sending, { value: shown('low'), numeric: true })}
        ${line(fieldOf(name, 'high'), 'Sound above', this.#sending, { value: shown('high'), numeric: true })}
      </div>
    </fieldset>`
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const { device, config } = this
    if (!device || !config) return
    const form = event.currentTarget as HTMLFormElement
    const wrong = new Map<string, string>()
    const whole = (name: WholeNumber, least: number) => {
      const value = readNumber(fieldText(form, name))
      if (value === null || !Number.isInteger(value) || value < least)
        wrong.set(name, `Write a whole number from ${least}.`)
      return value ?? 0
    }
    const limits: ChangeDeviceConfig['limits'] = {}
    for (const { name, unit } of this.#channels(device, config)) {
      const sides = (['low', 'high'] as const).flatMap((side): [Side, number][] => {
        const text = fieldText(form, fieldOf(name, side)).trim()
        const typed = readNumber(text)
        if (text !== '' && typed === null) wrong.set(fieldOf(name, side), 'Write a number, or nothing.')
        if (typed === null) return []
        return [[side, keptNumber(typed, config.limits[name]?.[side] ?? NaN, kindOf(unit), this.unit)]]
      })
      const both = Object.fromEntries(sides) as { low?: number; high?: number }
      if (both.low !== undefined && both.high !== undefined && both.low >= both.high)
        wrong.set(fieldOf(name, 'low'), 'This must be below the other.')
      if (sides.length > 0) limits[name] = both
    }
    const sent: ChangeDeviceConfig = {
      sampleIntervalS: whole('sampleIntervalS', 1),
      reportIntervalS: whole('reportIntervalS', 1),
      stateIntervalS: config.stateIntervalS,
      silentBrokerMinutes: whole('silentBrokerMinutes', 0),
      limits,
    }
    const { silentBrokerMinutes, reportIntervalS } = sent
    if (silentBrokerMinutes > 0 && silentBrokerMinutes * 60 <= 2 * reportIntervalS)
      wrong.set(
        'silentBrokerMinutes',
        `With ${reportIntervalS} s between packs this must be longer than ${(2 * reportIntervalS) / 60} min, or 0.`,
      )
    if (wrong.size > 0) return this.#sending.refuse(wrong)
    const sentIt = await this.#sending.send(async () => {
      this.config = await request<DeviceConfig>('PUT', pathOf(device), sent)
    })
    if (sentIt) this.#draft.drop()
  }

  async #ask(): Promise<void> {
    const { device } = this
    if (!device) return
    try {
      this.config = await request<DeviceConfig>('GET', pathOf(device))
      this.lost = false
    } catch {
      this.lost = this.config === null
    }
  }
}

const pathOf = ({ name }: Device): string => `/devices/${name}/config`
const fieldOf = (channel: string, side: Side): string => `limits.${channel}.${side}`
const kindOf = (unit: string): Kind => (unit === 'Cel' ? Kind.temperature : Kind.plain)

defineFor('owner', 'bw-device-config', DeviceConfigForm)
