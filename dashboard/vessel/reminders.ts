import { css, html, LitElement, nothing } from 'lit'
import { repeat } from 'lit/directives/repeat.js'
import type { Reminder } from '../../broker/web/api/reminders.ts'
import { ApiError, request } from '../state/api.ts'
import { Watch } from '../state/watch.ts'
import { shared } from '../style/shared.ts'

/** What the batches ask to be done now, of one vessel or of all: a quiet strip, gone when there is nothing. */
export class Reminders extends LitElement {
  static override properties = { vesselId: { attribute: false }, failed: { state: true } }
  /** `null` for all vessels. */
  declare vesselId: string | null
  /** Why the last tick did not get through. */
  declare failed: string
  readonly #reminders = new Watch(this, store => store.state.reminders)

  constructor() {
    super()
    this.vesselId = null
    this.failed = ''
  }

  static override styles = [
    shared,
    css`
      ul {
        display: grid;
        gap: 1px;
      }
      li {
        display: flex;
        gap: 16px;
        align-items: center;
        justify-content: space-between;
        padding: 10px 16px;
        border-left: 4px solid var(--line-strong);
      }
      strong {
        display: block;
      }
      summary {
        min-height: 48px;
        padding: 12px 16px;
        font-weight: 600;
        cursor: pointer;
      }
      button {
        flex: none;
        min-height: 48px;
      }
    `,
  ]

  override render() {
    const { vesselId } = this
    const due = this.#reminders.value.filter(each => vesselId === null || each.vesselId === vesselId)
    if (due.length === 0) return nothing
    const list = html`<ul>
      ${repeat(
        due,
        ({ id }) => id,
        reminder =>
          html`<li>
            <div><strong>${reminder.title}</strong><span class="soft">${reminder.text}</span></div>
            <button class="quiet" aria-label="Done: ${reminder.title}" @click=${() => this.#done(reminder)}>
              Done
            </button>
          </li>`,
      )}
    </ul>`
    // In the room the vessels come first: several things are one line there until it is opened.
    const folded = vesselId === null && due.length > 1
    return html`<section aria-label="To be done">
      ${
        folded
          ? html`<details>
              <summary>${due.length} things to be done</summary>
              ${list}
            </details>`
          : list
      }
      ${this.failed === '' ? nothing : html`<p role="alert">${this.failed}</p>`}
    </section>`
  }

  async #done({ id }: Reminder): Promise<void> {
    this.failed = ''
    try {
      await request('POST', `/reminders/${encodeURIComponent(id)}/done`)
    } catch (error) {
      // Ticked off elsewhere meanwhile: then it is done.
      if (!(error instanceof ApiError)) throw error
      if (error.status !== 404) this.failed = error.message
    }
  }
}
customElements.define('bw-reminders', Reminders)
