import { css, html, LitElement } from 'lit'
import { repeat } from 'lit/directives/repeat.js'
import type { OutboxList } from '../../broker/web/api/notify.ts'
import { request } from '../state/api.ts'
import { Tick } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { becameOf, toWhom } from '../words/called.ts'
import { listed } from '../words/time.ts'
import { notifyStyle } from './style.ts'

const ASK_AGAIN_MS = 5000
const SHOWN = 20

/** What people were told of late, and what became of it. */
export class RecentDeliveries extends LitElement {
  static override properties = { deliveries: { state: true } }
  declare deliveries: OutboxList['deliveries'] | null
  readonly #tick = new Tick(this, 5000)
  #timer: ReturnType<typeof setInterval> | undefined

  constructor() {
    super()
    this.deliveries = null
  }

  static override styles = [
    shared,
    notifyStyle,
    css`
      li {
        border-top: 1px solid var(--line);
        padding: 12px 0;
        display: grid;
        gap: 4px;
        overflow-wrap: anywhere;
      }
    `,
  ]

  override connectedCallback(): void {
    super.connectedCallback()
    void this.ask()
    this.#timer = setInterval(() => void this.ask(), ASK_AGAIN_MS)
  }
  override disconnectedCallback(): void {
    super.disconnectedCallback()
    clearInterval(this.#timer)
  }

  override render() {
    const { deliveries } = this
    if (deliveries === null) return html`<p class="soft">Looking it up…</p>`
    if (deliveries.length === 0) return html`<p class="soft">Nothing was sent yet.</p>`
    const nowMs = this.#tick.nowMs
    const mark = { delivered: 'arrived', failed: 'not', dropped: 'not', waiting: '', withdrawn: '' }
    const times = deliveries.map(({ at }) => Date.parse(at))
    return html`<ul aria-label="Recent messages">
      ${repeat(
        deliveries,
        ({ id }) => id,
        delivery =>
          html`<li>
            <strong>${delivery.title}</strong>
            <span class="soft"
              >${listed(Date.parse(delivery.at), times, nowMs, zone)}, ${toWhom(delivery)}</span
            >
            <span class=${mark[delivery.state]}>${becameOf(delivery, nowMs, zone)}</span>
          </li>`,
      )}
    </ul>`
  }

  async ask(): Promise<void> {
    try {
      const { deliveries } = await request<OutboxList>('GET', `/notify/outbox?limit=${SHOWN}`)
      this.deliveries = deliveries
    } catch {
      this.deliveries ??= []
    }
  }
}
customElements.define('bw-recent-deliveries', RecentDeliveries)
