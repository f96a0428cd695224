import { css, html, LitElement, nothing } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import { problem, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { shared } from '../style/shared.ts'
import { isOwnMachine } from '../words/called.ts'

/** The plan in the calendar of a phone: as a file, or by a private address that the calendar asks again and again. */
export class PlanCalendar extends LitElement {
  static override properties = { inUse: { attribute: false }, address: { state: true } }
  declare inUse: boolean
  declare address: string
  readonly #sending = new Sending(this)

  constructor() {
    super()
    this.inUse = false
    this.address = ''
  }
  static override styles = [
    shared,
    css`
      code {
        overflow-wrap: anywhere;
        user-select: all;
      }
      div {
        display: grid;
        gap: 14px;
      }
      .row {
        display: flex;
      }
    `,
  ]

  override render() {
    return html`<div>
      <p>
        A private address keeps the calendar of your phone up to date by itself. Whoever has it can see the
        plan, and can change nothing.
      </p>
      ${
        this.address
          ? html`<p role="status">
              Add this as a subscribed calendar. It is shown only now: <code>${this.address}</code>
              ${isOwnMachine(this.address) ? html`<br />This address opens on this machine only; start with <code>--lan</code> for a phone.` : nothing}
            </p>`
          : nothing
      }
      ${problem(this.#sending)}
      <div class="row">
        <button class="quiet" ?disabled=${this.#sending.busy} @click=${this.#make}>
          ${this.inUse || this.address ? 'Make a new address; the old one ends' : 'Make a private address'}
        </button>
        ${
          this.inUse || this.address
            ? html`<button class="quiet" ?disabled=${this.#sending.busy} @click=${this.#end}>
                End the address
              </button>`
            : nothing
        }
        <a class="button quiet" href="/api/v1/plan/calendar.ics" download="feeding-plan.ics"
          >Save as a file</a
        >
      </div>
    </div>`
  }

  readonly #make = (): void => {
    void this.#sending.send(async () => {
      const { path } = await request<{ path: string }>('POST', '/plan/calendar-address')
      this.address = `${location.origin}${path}`
    })
  }
  readonly #end = (): void => {
    void this.#sending.send(async () => {
      await request('DELETE', '/plan/calendar-address')
      this.address = ''
      this.inUse = false
    })
  }
}
defineFor('owner', 'bw-plan-calendar', PlanCalendar)
