import { css, html, LitElement, nothing } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { DeviceCode, NewPassword } from '../../broker/web/api/device-access.ts'
import type { Device } from '../../broker/web/api/devices.ts'
import { problem, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { zone } from '../state/zone.ts'
import { Tick } from '../state/watch.ts'
import { shared } from '../style/shared.ts'
import { moment } from '../words/time.ts'
import './code.ts'

/** What can be done to a device: find it, restart it, give it other credentials, show it the door. */
export class DeviceAccess extends LitElement {
  static override properties = {
    device: { attribute: false },
    code: { state: true },
    password: { state: true },
    sure: { state: true },
    said: { state: true },
  }
  declare device: Device | null
  declare code: DeviceCode | null
  declare password: NewPassword | null
  /** It was asked whether to revoke, and nobody has answered. */
  declare sure: boolean
  declare said: string
  readonly #sending = new Sending(this)
  readonly #tick = new Tick(this, 10_000)

  static override styles = [
    shared,
    css`
      :host {
        display: grid;
        gap: 14px;
        margin-top: 12px;
      }
      [role='group'] {
        display: grid;
        gap: 14px;
      }
      [role='group'].row {
        display: flex;
        gap: 12px;
      }
      .secret {
        overflow-wrap: anywhere;
      }
    `,
  ]

  constructor() {
    super()
    this.device = null
    this.code = null
    this.password = null
    this.sure = false
    this.said = ''
  }

  override render() {
    const { device } = this
    if (!device) return nothing
    const off = this.#sending.busy || !device.online
    return html`<div class="row" role="group" aria-label="Tell ${device.name}">
        <button
          class="quiet"
          ?disabled=${off}
          @click=${() => this.#tell({ command: 'identify' }, 'It blinks for half a minute.')}
        >
          Blink
        </button>
        <button
          class="quiet"
          ?disabled=${off}
          @click=${() => this.#tell({ command: 'report' }, 'It measures and reports now.')}
        >
          Measure now
        </button>
        <button
          class="quiet"
          ?disabled=${off}
          @click=${() => this.#tell({ command: 'restart' }, 'It restarts; that takes some seconds.')}
        >
          Restart
        </button>
      </div>
      ${device.online ? nothing : html`<p class="soft">It is off line and would hear nothing.</p>`}
      <p role="status" class="said" ?hidden=${this.said === ''}>${this.said}</p>
      ${problem(this.#sending)}
      <p class="soft">
        Other credentials, for a board that was set up anew, or a password that somebody may have seen. What
        it signs in with now is good until the new one is used.
      </p>
      <div class="row">
        <button class="quiet" ?disabled=${this.#sending.busy} @click=${this.#newCode}>New code</button>
        <button class="quiet" ?disabled=${this.#sending.busy} @click=${this.#newPassword}>
          New password
        </button>
        ${
          this.sure
            ? nothing
            : html`<button class="quiet" ?disabled=${this.#sending.busy} @click=${() => this.#ask()}>
                Revoke…
              </button>`
        }
      </div>
      ${this.sure ? this.#question(device) : nothing}
      ${this.code ? html`<bw-device-code .made=${this.code}></bw-device-code>` : nothing}
      ${this.password ? this.#shown(this.password) : nothing}`
  }

  #question(device: Device) {
    return html`<div role="group" aria-label="Revoke ${device.name}?">
      <p>
        ${device.name} is cut off at once and may not speak again. What it measured is kept; nobody watches
        what it watched.
      </p>
      <div class="row">
        <button class="really" ?disabled=${this.#sending.busy} @click=${this.#revoke}>
          Revoke ${device.name}
        </button>
        <button class="quiet" @click=${() => (this.sure = false)}>Keep it</button>
      </div>
    </div>`
  }

  #shown({ device, password, expiresAt }: NewPassword) {
    return html`<p>
      The new password of ${device}, shown this once, to be used by
      ${moment(Date.parse(expiresAt), this.#tick.nowMs, zone)}:
      <code class="secret">${password}</code>
    </p>`
  }

  #ask(): void {
    this.sure = true
    void this.updateComplete.then(() => this.renderRoot.querySelector<HTMLElement>('.really')?.focus())
  }

  #path(rest: string): string {
    return `/devices/${this.device?.name ?? ''}${rest}`
  }

  async #tell(command: object, words: string): Promise<void> {
    this.said = ''
    if (await this.#sending.send(() => request('POST', this.#path('/command'), command))) this.said = words
  }

  readonly #newCode = async (): Promise<void> => {
    await this.#sending.send(async () => {
      this.password = null
      this.code = await request<DeviceCode>('POST', this.#path('/code'), {})
    })
  }

  readonly #newPassword = async (): Promise<void> => {
    await this.#sending.send(async () => {
      this.code = null
      this.password = await request<NewPassword>('POST', this.#path('/password'))
    })
  }

  readonly #revoke = async (): Promise<void> => {
    if (await this.#sending.send(() => request('POST', this.#path('/revoke')))) this.sure = false
  }
}
defineFor('owner', 'bw-device-access', DeviceAccess)
