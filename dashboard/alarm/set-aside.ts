import { css, html, LitElement, nothing } from 'lit'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import type { Alarm } from '../../broker/web/api/schemas.ts'
import { ApiError, request } from '../state/api.ts'
import { Tick, Watch } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { isCalledFor, isForetold } from './chain.ts'
import { alarmName, asideSentence, asideSummary, workSentence } from '../words/set-aside.ts'

/** What calls nobody although it might: put off, hushed, out of service, or a consequence of such a one. Quiet, with its end and a way back. */
export class SetAside extends LitElement {
  static override properties = { open: { state: true }, busy: { state: true }, failed: { state: true } }
  declare open: boolean
  declare busy: boolean
  declare failed: string
  readonly #aside = new Watch(this, store => store.state.aside)
  readonly #alarms = new Watch(this, store => store.state.alarms)
  readonly #vessels = new Watch(this, store => store.state.vessels)
  readonly #tick = new Tick(this, 10_000)

  constructor() {
    super()
    this.open = false
    this.busy = false
    this.failed = ''
  }

  static override styles = [
    shared,
    css`
      :host {
        background: var(--raised);
        color: var(--ink);
      }
      .summary {
        width: 100%;
        min-height: 44px;
        padding: 4px 16px;
        border: 0;
        border-radius: 0;
        background: transparent;
        color: var(--ink-soft);
        font-size: 0.9375rem;
        font-weight: 650;
        justify-content: space-between;
        text-align: left;
      }
      .summary:focus-visible {
        outline-offset: -4px;
      }
      ul {
        max-height: 40vh;
        overflow-y: auto;
        overscroll-behavior: contain;
      }
      li {
        display: flex;
        flex-wrap: wrap;
        align-items: center;
        gap: 4px 12px;
        padding: 8px 16px;
        border-top: 1px solid var(--line);
      }
      li p {
        flex: 1 1 12rem;
        line-height: 1.3;
      }
      li button {
        min-height: 48px;
        padding: 4px 16px;
        font-size: 1rem;
      }
      .failed {
        padding: 8px 16px;
      }
    `,
  ]

  override render() {
    const calling = this.#alarms.value
    const aside = [...this.#aside.value.values()].filter(
      alarm => !isCalledFor(alarm, calling, this.#aside.value) && !isForetold(alarm, this.#aside.value),
    )
    const working = [...this.#vessels.value.values()].filter(({ suppression }) => suppression !== null)
    if (aside.length + working.length === 0) return nothing
    return html`<section aria-label="Calls nobody now">
      <button
        class="summary"
        aria-expanded=${this.open}
        @click=${() => {
          this.open = !this.open
        }}
      >
        <span>${asideSummary(aside.length, working, this.#tick.nowMs)}</span>
        <span aria-hidden="true">${this.open ? 'hide' : 'show'}</span>
      </button>
      ${
        this.open
          ? html`<ul>
              ${working.map(vessel => this.#work(vessel))} ${aside.map(alarm => this.#alarm(alarm))}
            </ul>`
          : nothing
      }
      ${this.failed === '' ? nothing : html`<p class="failed" role="status">${this.failed}</p>`}
    </section>`
  }

  #work(vessel: Vessel) {
    return html`<li>
      <p>${workSentence(vessel, this.#tick.nowMs, zone)}</p>
      ${this.#back('Done', vessel.name, 'DELETE', `/vessels/${encodeURIComponent(vessel.id)}/suppress`)}
    </li>`
  }

  #alarm(alarm: Alarm) {
    const name = this.#name(alarm)
    const cause =
      alarm.causedBy === null
        ? undefined
        : (this.#alarms.value.get(alarm.causedBy) ?? this.#aside.value.get(alarm.causedBy))
    return html`<li>
      <p>
        <strong>${name}</strong><br /><span class="soft"
          >${asideSentence(alarm, cause && this.#name(cause), this.#tick.nowMs, zone)}</span
        >
      </p>
      ${
        alarm.state === 'shelved'
          ? this.#back('Bring back', name, 'POST', `/alarms/${encodeURIComponent(alarm.id)}/unshelve`)
          : nothing
      }
      ${
        alarm.state === 'out-of-service' && alarm.vesselId !== null
          ? this.#back(
              'Return',
              name,
              'POST',
              `/vessels/${encodeURIComponent(alarm.vesselId)}/rules/${alarm.rule}/in-service`,
            )
          : nothing
      }
    </li>`
  }

  #back(word: string, of: string, method: 'POST' | 'DELETE', path: string) {
    return html`<button
      class="quiet"
      aria-label="${word}: ${of}"
      ?disabled=${this.busy}
      @click=${() => this.#send(method, path)}
    >
      ${word}
    </button>`
  }

  #name(alarm: Alarm): string {
    return alarmName(alarm, this.#vessels.value.get(alarm.vesselId ?? '')?.name)
  }

  async #send(method: 'POST' | 'DELETE', path: string): Promise<void> {
    this.busy = true
    this.failed = ''
    try {
      await request(method, path)
    } catch (error) {
      this.failed = error instanceof ApiError ? error.message : 'That could not be done.'
    }
    this.busy = false
  }
}
customElements.define('bw-set-aside', SetAside)
