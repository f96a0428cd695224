import { css, html, LitElement, nothing, type PropertyValues, svg } from 'lit'
import type { DeviceCode } from '../../broker/web/api/device-access.ts'
import { problem, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { Tick, Watch } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { NOT_YET, pairing, type Pairing } from '../words/pairing.ts'
import { duration, moment } from '../words/time.ts'
import { qrPath } from './qr.ts'

/** How long a code is good, as the broker says it. */
const GOOD_MS = 10 * 60_000

/** A code to be typed at a device: large, as a picture for a phone, and what to do with it. Says when the device has come. */
export class DeviceCodeCard extends LitElement {
  static override properties = { made: { attribute: false } }
  declare made: DeviceCode | null
  readonly #devices = new Watch(this, store => store.state.devices)
  readonly #tick = new Tick(this, 1000)
  readonly #sending = new Sending(this)
  #pairing: Pairing = NOT_YET

  static override styles = [
    shared,
    css`
      .card {
        display: grid;
        gap: 16px;
        padding: 16px;
        background: var(--raised);
        border: 2px solid var(--line-strong);
        border-radius: 16px;
      }
      .code {
        font-family: ui-monospace, 'Liberation Mono', monospace;
        font-size: clamp(2rem, 11vw, 3rem);
        font-weight: 700;
        letter-spacing: 0.06em;
        line-height: 1.1;
      }
      .code:focus-visible {
        outline-offset: 6px;
      }
      figure {
        display: grid;
        gap: 8px;
        justify-items: start;
      }
      figure svg {
        width: min(100%, 240px);
        height: auto;
        background: #fff;
        border-radius: 8px;
      }
      ol {
        margin: 0;
        padding-left: 1.4em;
        display: grid;
        gap: 8px;
        overflow-wrap: anywhere;
      }
      @media (min-width: 720px) {
        .card {
          grid-template-columns: 1fr 240px;
        }
        .words {
          display: grid;
          gap: 16px;
          align-content: start;
        }
      }
      .words {
        display: grid;
        gap: 16px;
        min-width: 0;
      }
    `,
  ]

  constructor() {
    super()
    this.made = null
  }

  override render() {
    const { made } = this
    if (!made) return nothing
    const leftMs = Date.parse(made.expiresAt) - this.#tick.nowMs
    if (this.#pairing.redeemedMs !== null) return this.#used(made, this.#pairing.redeemedMs)
    if (leftMs <= 0)
      return html`<div class="words">
        <p role="status" class="failed">The code of ${made.device} was not used in time.</p>
        ${problem(this.#sending)}
        <div class="row">
          <button ?disabled=${this.#sending.busy} @click=${this.#again}>
            Another code for ${made.device}
          </button>
        </div>
      </div>`
    const [page] = made.pages
    const at = page === undefined ? null : new URL(page).searchParams.get('at')
    return html`<div class="card">
      <div class="words">
        <p class="soft">The code of ${made.device}, good once, for ${duration(leftMs)}</p>
        <p class="code" tabindex="-1">${made.code}</p>
        ${
          at === null
            ? html`<p class="failed">${unreachable()}</p>`
            : html`<ol>
                <li>Switch the device on. It opens a Wi-Fi network, <strong>brinewatch-…</strong></li>
                <li>On a phone join that network; its password is <strong>brinewatch</strong></li>
                <li>
                  Scan the picture, or
                  <a href=${page!} target="_blank" rel="noreferrer">open the device’s page</a> there. Add the
                  name and password of your Wi-Fi
                </li>
                <li>Or at the device’s serial line: the code, and the address <strong>${at}</strong></li>
              </ol>`
        }
        <p role="status" class="soft">Waiting for ${made.device}…</p>
      </div>
      ${page === undefined ? nothing : this.#picture(page)}
    </div>`
  }

  #used({ device }: DeviceCode, redeemedMs: number) {
    const at = (ms: number) => moment(ms, this.#tick.nowMs, zone)
    const { readingMs } = this.#pairing
    return html`<div role="status" class="words">
      <p class="said">${device} has redeemed its code, ${at(redeemedMs)}. The code is used up.</p>
      ${
        readingMs === null
          ? html`<p class="soft">Waiting for its first reading…</p>`
          : html`<p class="said">
              Its first reading came, ${at(readingMs)}. Put it on its vessel <a href="/">in the room</a>.
            </p>`
      }
    </div>`
  }

  protected override willUpdate(changed: PropertyValues<this>): void {
    if (changed.has('made')) this.#pairing = NOT_YET
    const { made } = this
    if (!made) return
    const device = this.#devices.value.get(made.device)
    this.#pairing = pairing(this.#pairing, device, Date.parse(made.expiresAt) - GOOD_MS)
  }

  /** Whoever asked for it reads on from the code: what they pressed may be gone. */
  protected override updated(changed: PropertyValues<this>): void {
    if (changed.has('made'))
      this.renderRoot.querySelector<HTMLElement>('.code')?.focus({ preventScroll: true })
  }

  readonly #again = async (): Promise<void> => {
    const device = this.made?.device ?? ''
    await this.#sending.send(async () => {
      this.made = await request<DeviceCode>('POST', `/devices/${device}/code`, {})
    })
  }

  #picture(page: string) {
    const { side, path } = qrPath(page)
    return html`<figure>
      ${svg`<svg viewBox="0 0 ${side} ${side}" role="img" aria-label="QR code: the page of the device, with its code" shape-rendering="crispEdges"><path d=${path} fill="#000" /></svg>`}
    </figure>`
  }
}
const unreachable = () =>
  location.protocol === 'https:'
    ? 'This service is encrypted, and the device’s first-run page cannot speak so. Give the device a password by hand.'
    : html`No other machine can reach this service, so the device cannot use its code. Start it with
        <code>npm start -- --lan</code>.`

customElements.define('bw-device-code', DeviceCodeCard)
