import { css, html, LitElement, nothing } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import { ApiError, request } from '../state/api.ts'
import { Tick, Watch } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { watchedAgain, workSentence } from '../words/set-aside.ts'

/** Says that work begins at a vessel, so that the air that is turned off for it calls nobody. */
export class Hush extends LitElement {
  static override properties = {
    vessel: { attribute: false },
    busy: { state: true },
    failed: { state: true },
    done: { state: true },
  }
  declare vessel: Vessel | null
  declare busy: boolean
  declare failed: string
  /** It was said here that the work is done. */
  declare done: boolean
  readonly #settings = new Watch(this, store => store.state.settings)
  readonly #tick = new Tick(this, 10_000)

  constructor() {
    super()
    this.vessel = null
    this.busy = false
    this.failed = ''
    this.done = false
  }

  static override styles = [
    shared,
    css`
      .pair {
        gap: 10px;
      }
      p {
        padding-bottom: 8px;
      }
    `,
  ]

  override render() {
    const { vessel } = this
    if (!vessel) return nothing
    const button = (words: string, method: 'POST' | 'DELETE', body?: unknown) =>
      html`<button class="quiet" ?disabled=${this.busy} @click=${() => this.#send(method, body)}>
        ${words}
      </button>`
    return html`${
        vessel.suppression
          ? html`<p>${workSentence(vessel, this.#tick.nowMs, zone)}. Heat is called all the same.</p>
              ${button(vessel.suppression.reason === 'calibration' ? 'Done: the probe is back' : 'Done: watch air and light again', 'DELETE')}`
          : vessel.batch
            ? html`<details>
                <summary>Working at it: hush air and light</summary>
                <div class="pair">
                  ${button('I am harvesting: hush air and light 30 min', 'POST', { reason: 'harvest', minutes: 30 })}
                  ${button('I am setting up: hush air and light 30 min', 'POST', { reason: 'set-up', minutes: 30 })}
                </div>
              </details>`
            : nothing
      }
      <p role="status">
        ${
          this.done && vessel.suppression === null && this.#settings.value
            ? watchedAgain(this.#settings.value)
            : nothing
        }
      </p>
      ${this.failed === '' ? nothing : html`<p role="status">${this.failed}</p>`}`
  }

  async #send(method: 'POST' | 'DELETE', body?: unknown): Promise<void> {
    const isDone = method === 'DELETE' && this.vessel?.suppression?.reason !== 'calibration'
    this.busy = true
    this.failed = ''
    try {
      await request(method, `/vessels/${encodeURIComponent(this.vessel?.id ?? '')}/suppress`, body)
      this.done = isDone
    } catch (error) {
      this.failed = error instanceof ApiError ? error.message : 'That could not be done.'
    }
    this.busy = false
  }
}
defineFor('helper', 'bw-hush', Hush)
