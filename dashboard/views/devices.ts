import { css, html, LitElement, nothing } from 'lit'
import { repeat } from 'lit/directives/repeat.js'
import type { Device, QuarantineItem } from '../../broker/web/api/devices.ts'
import type { Settings } from '../../broker/web/api/schemas.ts'
import { Sending, problem } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { ADD_DEVICE_DRAFT, hasDraft } from '../state/draft.ts'
import { calibratePath, vesselPath } from '../state/route.ts'
import { forWhom, may } from '../state/me.ts'
import { Tick, Watch } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { channelValue } from '../words/channel.ts'
import { addDeviceCommand, firstReadingCommand } from '../words/connect.ts'
import { deviceCondition } from '../words/device.ts'
import { deviceFacts } from '../words/device-health.ts'
import { moment } from '../words/time.ts'
import { quarantineWord } from '../words/quarantine.ts'

const ASK_AGAIN_MS = 15_000

/** The devices, what each sends, and what could not be read. */
export class DevicesView extends LitElement {
  static override properties = {
    quarantine: { state: true },
    opened: { state: true },
    adding: { state: true },
  }
  declare quarantine: readonly QuarantineItem[] | null
  /** The devices whose settings somebody has looked at. */
  declare opened: ReadonlySet<string>
  /** Somebody is adding a device. */
  declare adding: boolean
  readonly #removing = new Sending(this)
  readonly #devices = new Watch(this, store => store.state.devices)
  readonly #vessels = new Watch(this, store => store.state.vessels)
  readonly #settings = new Watch(this, store => store.state.settings)
  readonly #connect = new Watch(this, store => store.state.connect)
  readonly #tick = new Tick(this, 2_000)
  #timer: ReturnType<typeof setInterval> | undefined

  constructor() {
    super()
    this.quarantine = null
    this.opened = new Set()
    // A name that was half typed when the page closed is asked for again.
    this.adding = hasDraft(ADD_DEVICE_DRAFT)
    if (this.adding) void import('../device/add-device.ts').catch(() => undefined)
  }

  static override styles = [
    shared,
    css`
      .device {
        padding: 16px 0;
        border-top: 2px solid var(--line);
        display: grid;
        gap: 8px;
      }
      .device h2 {
        font-size: 1.25rem;
      }
      .device.lost h2::before {
        content: '✕ ';
        color: var(--hot);
      }
      .device.connected h2::before {
        content: '● ';
        color: var(--right);
      }
      .device.revoked h2::before {
        content: '⊘ ';
        color: var(--ink-soft);
      }
      .facts {
        display: grid;
        gap: 4px;
      }
      .facts .warn {
        font-weight: 650;
        color: var(--warm);
      }
      .facts .warn::before {
        content: '▲ ';
      }
      .device.visiting h2::before,
      .device.away h2::before {
        content: '○ ';
        color: var(--ink-soft);
      }
      .channels {
        display: grid;
        gap: 2px;
      }
      .channels li {
        display: grid;
        grid-template-columns: 5rem minmax(9rem, 12rem) minmax(6rem, max-content) 1fr;
        gap: 2px 12px;
        min-height: 32px;
        align-items: baseline;
      }
      @media (max-width: 520px) {
        .channels li {
          grid-template-columns: 4rem 1fr;
        }
        .channels li > :nth-child(n + 3) {
          grid-column: 2;
        }
      }
      .channels strong {
        font-variant-numeric: tabular-nums;
      }
      .set-aside li {
        padding: 12px 0;
        border-top: 1px solid var(--line);
        display: grid;
        gap: 4px;
      }
      .set-aside code {
        overflow-wrap: anywhere;
        color: var(--ink-soft);
      }
      .channels a {
        display: inline-block;
        padding: 12px 0;
        margin: -12px 0;
      }
    `,
  ]

  override connectedCallback(): void {
    super.connectedCallback()
    void this.#ask()
    this.#timer = setInterval(() => void this.#ask(), ASK_AGAIN_MS)
  }
  override disconnectedCallback(): void {
    super.disconnectedCallback()
    clearInterval(this.#timer)
  }

  override render() {
    const settings = this.#settings.value
    if (!settings) return nothing
    const devices = [...this.#devices.value.values()]
    return html`<div class="page">
      <section>
        <h1>Devices</h1>
        ${devices.length === 0 ? html`<p class="soft">None has a password yet.</p>` : nothing}
        ${
          this.adding
            ? html`<bw-add-device @close=${this.#closeAdding}></bw-add-device>`
            : may('owner')
              ? html`<div class="row"><button class="add" @click=${this.#add}>Add a device</button></div>`
              : html`<p class="soft">${forWhom('owner')}</p>`
        }
        ${problem(this.#removing)}
        ${
          devices.some(({ channels }) => channels.some(({ unit }) => unit === 'Cel'))
            ? html`<p class="soft">
                Temperatures stand here as measured; on a vessel they are set right by calibration.
              </p>`
            : nothing
        }
        <ul>
          ${repeat(
            devices,
            device => device.name,
            device => this.#device(device, settings),
          )}
        </ul>
        <details>
          <summary>By hand</summary>
          <p>A name and a password for a device of your own, on the machine that runs brinewatch:</p>
          <pre tabindex="0"><code>${addDeviceCommand('NAME', this.#connect.value)}</code></pre>
          <p>Then send a first reading, with the password that was made, to see that it arrives:</p>
          <pre
            tabindex="0"
          ><code>${firstReadingCommand(location.hostname, 'NAME', this.#connect.value)}</code></pre>
        </details>
      </section>
      <section>
        <h2>Sensors that are already there</h2>
        <p>Other sensors that speak MQTT can watch a vessel too.</p>
        <div class="row"><a class="button quiet" href="/topics">Pick one from its topics</a></div>
      </section>
      <section>
        <h2>What could not be read</h2>
        ${this.#setAside()}
      </section>
    </div>`
  }

  #device(device: Device, settings: Settings) {
    const nowMs = this.#tick.nowMs
    const { state, words } = deviceCondition(device, settings, nowMs)
    const owners = new Set(device.channels.map(({ assignedTo }) => assignedTo?.vesselId))
    const [ownerId] = owners
    const only = owners.size === 1 && ownerId !== undefined ? this.#vessels.value.get(ownerId) : undefined
    return html`<li class="device ${state}">
      <h2>${device.name}${only ? html` on <a href=${vesselPath(only.id)}>${only.name}</a>` : nothing}</h2>
      <p>${words}${device.firmware ? `, firmware ${device.firmware}` : ''}</p>
      ${
        device.revokedAt === null
          ? html`<ul class="facts">
              ${deviceFacts(device, nowMs).map(fact => html`<li class=${fact.warn ? 'warn' : ''}>${fact.words}</li>`)}
            </ul>`
          : html`<p class="soft">What it measured is kept, and stays when it is taken off this list.</p>
              ${
                may('owner')
                  ? html`<div class="row">
                      <button
                        class="quiet"
                        ?disabled=${this.#removing.busy}
                        @click=${() => this.#remove(device)}
                      >
                        Take ${device.name} off the list
                      </button>
                    </div>`
                  : nothing
              }`
      }
      <ul class="channels">
        ${[...device.channels]
          .sort((a, b) => a.name.localeCompare(b.name))
          .map(channel => {
            const owner = channel.assignedTo
              ? this.#vessels.value.get(channel.assignedTo.vesselId)
              : undefined
            return html`<li>
              <span class="soft name">${channel.name}</span>
              <strong>${channelValue(channel, settings.temperatureUnit)}</strong>
              ${
                only
                  ? nothing
                  : owner
                    ? html`<span>on <a href=${vesselPath(owner.id)}>${owner.name}</a></span>`
                    : html`<span class="soft">on no vessel</span>`
              }
              ${
                channel.unit === 'Cel' && device.revokedAt === null
                  ? html`<a class="calibrate" href=${calibratePath(`${device.name}/${channel.name}`)}
                      >Calibrate<span class="hidden"> ${device.name}/${channel.name}</span></a
                    >`
                  : nothing
              }
            </li>`
          })}
      </ul>
      ${device.revokedAt === null ? this.#more(device, settings) : nothing}
    </li>`
  }

  #more(device: Device, settings: Settings) {
    return html`<details @toggle=${(event: Event) => this.#open(event, device.name)}>
        <summary>How it measures<span class="hidden"> (${device.name})</span></summary>
        ${
          this.opened.has(device.name)
            ? html`<bw-device-config .device=${device} .unit=${settings.temperatureUnit}></bw-device-config>`
            : nothing
        }
      </details>
      <details @toggle=${(event: Event) => this.#open(event, device.name)}>
        <summary>Find, restart, credentials<span class="hidden"> (${device.name})</span></summary>
        ${
          this.opened.has(device.name)
            ? html`<bw-device-access .device=${device}></bw-device-access>`
            : nothing
        }
      </details>`
  }

  readonly #add = (): void => {
    void import('../device/add-device.ts').catch(() => undefined)
    this.adding = true
  }

  readonly #closeAdding = (): void => {
    this.adding = false
    void this.updateComplete.then(() => this.renderRoot.querySelector<HTMLElement>('.add')?.focus())
  }

  #remove(device: Device): Promise<boolean> {
    return this.#removing.send(() => request('DELETE', `/devices/${device.name}`))
  }

  #setAside() {
    if (this.quarantine === null) return html`<p class="soft">Looking it up…</p>`
    if (this.quarantine.length === 0) return html`<p class="soft">Nothing: every message made sense.</p>`
    return html`<p class="soft">
        Set aside as it came. The device was told it arrived, so it goes on sending.
      </p>
      <ul class="set-aside">
        ${this.quarantine.map(
          item =>
            html`<li>
              <strong>${item.device}: ${quarantineWord(item.reason)}</strong>
              <span>${moment(Date.parse(item.at), this.#tick.nowMs, zone)}: ${item.detail}</span>
              <code>${preview(item.payloadBase64)}</code>
            </li>`,
        )}
      </ul>`
  }

  /** What a device goes by is fetched when somebody looks. */
  #open(event: Event, name: string): void {
    if (!(event.currentTarget as HTMLDetailsElement).open) return
    void import('../forms/device-config.ts').catch(() => undefined)
    void import('../device/access.ts').catch(() => undefined)
    this.opened = new Set(this.opened).add(name)
  }

  async #ask(): Promise<void> {
    try {
      const { quarantine } = await request<{ quarantine: QuarantineItem[] }>('GET', '/quarantine?limit=30')
      this.quarantine = quarantine
    } catch {
      this.quarantine ??= []
    }
  }
}

/** The beginning of a payload as text; what is no text shows as dots. */
function preview(base64: string): string {
  const bytes = Uint8Array.from(atob(base64.slice(0, 240)), each => each.charCodeAt(0))
  return new TextDecoder().decode(bytes).replace(/[^\x20-\x7e]/g, '·')
}
customElements.define('bw-devices', DevicesView)
