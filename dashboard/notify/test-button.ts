import { html, LitElement, nothing } from 'lit'
import { ApiError, request } from '../state/api.ts'
import { shared } from '../style/shared.ts'
import { notifyStyle } from './style.ts'

/** Sends a test to one address, and says in words what came of it. */
export class TestButton extends LitElement {
  static override properties = {
    personId: { attribute: false },
    addressId: { attribute: false },
    what: { attribute: false },
    result: { state: true },
    busy: { state: true },
  }
  declare personId: string
  declare addressId: string
  /** What is tested, for those who hear the page. */
  declare what: string
  declare result: { arrived: boolean; words: string } | null
  declare busy: boolean

  constructor() {
    super()
    this.personId = ''
    this.addressId = ''
    this.what = ''
    this.result = null
    this.busy = false
  }

  static override styles = [shared, notifyStyle]

  override render() {
    const { result } = this
    return html`<div class="row">
      <button type="button" class="quiet small" ?disabled=${this.busy} @click=${this.#send}>
        Send a test<span class="hidden"> to ${this.what}</span>
      </button>
      <span role="status" class=${result === null ? '' : result.arrived ? 'arrived' : 'not'}
        >${this.busy ? 'Sending…' : (result?.words ?? nothing)}</span
      >
    </div>`
  }

  readonly #send = async (): Promise<void> => {
    this.busy = true
    this.result = null
    const { personId, addressId } = this
    try {
      this.result = await request('POST', '/notify/test', { personId, addressId })
    } catch (error) {
      const words = error instanceof ApiError ? error.message : 'That did not work. Try again.'
      this.result = { arrived: false, words }
    }
    this.busy = false
    this.dispatchEvent(new CustomEvent('bw-sent', { bubbles: true, composed: true }))
  }
}
customElements.define('bw-notify-test', TestButton)
