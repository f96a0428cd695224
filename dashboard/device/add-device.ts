import { css, html, LitElement } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { DeviceCode } from '../../broker/web/api/device-access.ts'
import { fieldText, foot, line, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { ADD_DEVICE_DRAFT, FormDraft } from '../state/draft.ts'
import { shared } from '../style/shared.ts'
import './code.ts'

const NAME = /^[A-Za-z0-9][A-Za-z0-9_-]{0,62}$/

/** Lets a new device in: a name, and then the code for it. */
export class AddDeviceForm extends LitElement {
  static override properties = { made: { state: true } }
  declare made: DeviceCode | null
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () => (this.made ? null : ADD_DEVICE_DRAFT))
  static override styles = [
    shared,
    css`
      :host {
        display: grid;
        gap: 14px;
      }
    `,
  ]

  constructor() {
    super()
    this.made = null
  }

  override firstUpdated(): void {
    this.renderRoot.querySelector('input')?.focus()
  }

  override render() {
    if (this.made)
      return html`<bw-device-code .made=${this.made}></bw-device-code>
        <div class="row">
          <button class="quiet" @click=${() => (this.made = null)}>Add another</button>
          <button class="quiet" @click=${this.#close}>Done</button>
        </div>`
    return html`<form novalidate @submit=${this.#submit}>
      ${line('name', 'Name of the device', this.#sending, {
        hint: 'As it will be listed, like cone-1: letters, digits and hyphens',
        maxLength: 63,
      })}
      ${foot(
        this.#sending,
        html`<button ?disabled=${this.#sending.busy}>Show its code</button>
          <button type="button" class="quiet" @click=${this.#close}>Not now</button>`,
      )}
    </form>`
  }

  readonly #close = (): void => {
    this.#draft.drop()
    this.dispatchEvent(new Event('close'))
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const name = fieldText(event.currentTarget as HTMLFormElement, 'name').trim()
    if (!NAME.test(name))
      return this.#sending.refuse(
        new Map([['name', 'Write letters, digits, hyphens or underscores, a letter or digit first.']]),
      )
    await this.#sending.send(async () => {
      const made = await request<DeviceCode>('POST', `/devices/${name}/code`, { fresh: true })
      this.#draft.drop()
      this.made = made
    })
  }
}
defineFor('owner', 'bw-add-device', AddDeviceForm)
