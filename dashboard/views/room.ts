import { css, html, LitElement, nothing } from 'lit'
import { repeat } from 'lit/directives/repeat.js'
import { foremost, shelfOrder } from '../alarm/order.ts'
import { idly } from '../frame/lazy.ts'
import { Tick, Watch } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import '../vessel/berth.ts'
import '../vessel/reminders.ts'
import { heatsToHarm, roomSentence } from '../words/sentence.ts'

/** Seen once in a room's life: nobody else fetches it. */
function firstRun() {
  void import('./first-run.ts').catch(() => undefined)
  return html`<bw-first-run></bw-first-run>`
}

const fetchUncalled = idly(() => import('../notify/uncalled.ts'))
/** Where a batch is on its way and nobody is set up to be called, that is said; whoever sees the room does not wait for it. */
function uncalled() {
  fetchUncalled()
  return html`<bw-uncalled></bw-uncalled>`
}

/** The room: every vessel in its place on the shelf, those that call first. */
export class RoomView extends LitElement {
  readonly #vessels = new Watch(this, store => store.state.vessels)
  readonly #alarms = new Watch(this, store => store.state.alarms)
  readonly #settings = new Watch(this, store => store.state.settings)
  readonly #tick = new Tick(this, 20_000)

  static override styles = [
    shared,
    css`
      header {
        padding: 18px 16px 6px;
        display: flex;
        flex-wrap: wrap;
        gap: 8px 24px;
        align-items: baseline;
      }
      .shelf {
        display: grid;
        grid-template-columns: repeat(auto-fill, minmax(min(100%, 330px), 1fr));
        padding-top: 6px;
      }
      .shelf {
        overflow-x: clip;
      }
      li {
        min-width: 0;
      }
      li:last-child {
        --beyond: 100vw;
      }
      h1 {
        font-size: 1.375rem;
        text-wrap: balance;
      }
      footer {
        padding: 0 16px 24px;
      }
      @media (min-width: 720px) {
        header,
        footer {
          padding-inline: 24px;
        }
        h1 {
          font-size: 1.625rem;
        }
        .shelf {
          margin-top: 10px;
        }
      }
    `,
  ]

  override render() {
    const vessels = this.#vessels.value
    const settings = this.#settings.value
    if (!settings) return nothing
    if (vessels.size === 0) return firstRun()
    const alarms = foremost(this.#alarms.value.values())
    const shelf = shelfOrder(vessels.values(), this.#alarms.value.values(), vessel =>
      heatsToHarm(vessel, settings),
    )
    return html`
      <header>
        <h1>${roomSentence(shelf, this.#tick.nowMs, zone, [...this.#alarms.value.values()], settings)}</h1>
      </header>
      <bw-reminders></bw-reminders>
      ${shelf.some(({ batch }) => batch) ? uncalled() : nothing}
      <ul class="shelf" aria-label="Vessels">
        ${repeat(
          shelf,
          vessel => vessel.id,
          vessel =>
            html`<li>
              <bw-berth
                .vessel=${vessel}
                .settings=${settings}
                .alarm=${alarms.get(vessel.id) ?? null}
              ></bw-berth>
            </li>`,
        )}
      </ul>
      <footer class="row">
        <a class="button quiet" href="/settings#vessels">Add a vessel</a>
        <a class="button quiet" href="/lots">Lots of cysts</a>
        <a class="button quiet" href="/journal">Alarm journal</a>
      </footer>
    `
  }
}
customElements.define('bw-room', RoomView)
