import { css, html, LitElement, nothing } from 'lit'
import { repeat } from 'lit/directives/repeat.js'
import type { Reminder } from '../../broker/web/api/reminders.ts'
import { ApiError, request } from '../state/api.ts'
import { Watch } from '../state/watch.ts'
import { shared } from '../style/shared.ts'

/** How long a tick can be taken back here, ms: time to see what was hit. */
const UNDO_MS = 15_000

/** What the way to where it is done is called. */
const WAY: Partial<Record<Reminder['kind'], string>> = {
  'knock-down': 'See it',
  'first-look': 'See it',
  'harvest-opens': 'Harvest',
  'harvest-closing': 'Harvest',
  cleaning: 'Clean it',
  disinfect: 'Clean it',
  'held-limit': 'Look',
  'lot-use-by': 'Look',
}

/** What the batches ask to be done now, of one vessel or of all: a quiet strip, gone when there is nothing. */
export class Reminders extends LitElement {
  static override properties = {
    vesselId: { attribute: false },
    failed: { state: true },
    ticked: { state: true },
  }
  /** `null` for all vessels. */
  declare vesselId: string | null
  /** Why the last tick did not get through. */
  declare failed: string
  /** What was ticked off here a moment ago, and may have been a wet thumb. */
  declare ticked: Reminder | null
  /** What was taken back, until its button has the focus. */
  #back: string | null = null
  #forget: ReturnType<typeof setTimeout> | undefined
  readonly #reminders = new Watch(this, store => store.state.reminders)

  constructor() {
    super()
    this.vesselId = null
    this.failed = ''
    this.ticked = null
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
        flex-wrap: wrap;
        gap: 8px 16px;
        align-items: center;
        justify-content: space-between;
        padding: 10px 16px;
        border-left: 4px solid var(--line-strong);
      }
      strong {
        display: block;
      }
      .what {
        flex: 1 1 16rem;
      }
      .ways {
        display: flex;
        gap: 8px;
        margin-left: auto;
      }
      .ways > * {
        min-height: 48px;
        padding: 6px 18px;
      }
      .ticked {
        display: flex;
        flex-wrap: wrap;
        gap: 4px 16px;
        align-items: center;
        justify-content: space-between;
        padding: 4px 16px;
        color: var(--ink-soft);
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
    const { ticked } = this
    if (due.length === 0 && !ticked && this.failed === '') return nothing
    const list = html`<ul>
      ${repeat(
        due,
        ({ id }) => id,
        reminder =>
          html`<li>
            <div class="what">
              <strong>${reminder.title}</strong><span class="soft">${reminder.text}</span>
            </div>
            <div class="ways">
              ${this.#way(reminder)}
              <button
                class="quiet"
                data-id=${reminder.id}
                aria-label="Done: ${reminder.title}"
                @click=${() => this.#done(reminder)}
              >
                Done
              </button>
            </div>
          </li>`,
      )}
    </ul>`
    // In the room the vessels come first: several things are one line there until it is opened.
    const folded = vesselId === null && due.length > 1
    return html`<section aria-label="To be done">
      ${
        ticked
          ? html`<div class="ticked">
              <p role="status">Done: ${ticked.title}.</p>
              <button
                class="quiet undo"
                aria-label="Undo: ${ticked.title}"
                @click=${() => this.#undo(ticked)}
              >
                Undo
              </button>
            </div>`
          : nothing
      }
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

  override disconnectedCallback(): void {
    super.disconnectedCallback()
    this.#tick(null)
  }

  /** To where it is done; nothing where that is here. */
  #way({ kind, page = '/', title }: Reminder) {
    // On the vessel's own page the way to its harvest stands below, once.
    // A broker of another age does not say where.
    if (this.vesselId !== null && WAY[kind] === 'Harvest') return nothing
    if (page === '/' || page === location.pathname + location.search) return nothing
    return html`<a class="button" href=${page} aria-label="${WAY[kind] ?? 'Go there'}: ${title}"
      >${WAY[kind] ?? 'Go there'}</a
    >`
  }

  async #done(reminder: Reminder): Promise<void> {
    if (!(await this.#send('POST', reminder))) return
    this.#tick(reminder)
    await this.updateComplete
    // The button that was pressed is gone; what takes it back stands in its place.
    this.renderRoot.querySelector<HTMLElement>('.undo')?.focus()
  }

  async #undo(reminder: Reminder): Promise<void> {
    if (!(await this.#send('DELETE', reminder))) return
    this.#tick(null)
    this.#back = reminder.id
    this.requestUpdate()
  }

  /** What was taken back stands there again only once the broker has told so. */
  override updated(): void {
    const id = this.#back
    if (id === null || !this.#reminders.value.some(each => each.id === id)) return
    this.#back = null
    if (this.renderRoot instanceof ShadowRoot && this.renderRoot.activeElement) return
    const folded = this.renderRoot.querySelector<HTMLElement>('details:not([open]) > summary')
    const button = this.renderRoot.querySelector<HTMLElement>(`button[data-id="${CSS.escape(id)}"]`)
    ;(folded ?? button)?.focus()
  }

  #tick(reminder: Reminder | null): void {
    clearTimeout(this.#forget)
    this.ticked = reminder
    if (reminder) this.#forget = setTimeout(() => this.#tick(null), UNDO_MS)
  }

  async #send(method: 'POST' | 'DELETE', { id }: Reminder): Promise<boolean> {
    this.failed = ''
    try {
      await request(method, `/reminders/${encodeURIComponent(id)}/done`)
      return true
    } catch (error) {
      if (!(error instanceof ApiError)) throw error
      // Ticked off, or taken back, elsewhere meanwhile: then it is so.
      if (error.status === 404) return true
      this.failed = error.message
      return false
    }
  }
}
customElements.define('bw-reminders', Reminders)
