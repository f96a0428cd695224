import { css, html, LitElement, nothing } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { Alarm } from '../../broker/web/api/schemas.ts'
import { fieldText, foot, line, list, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { FormDraft } from '../state/draft.ts'
import { shared } from '../style/shared.ts'
import { ALARM_WORD } from '../words/alarm.ts'
import { outFor } from '../words/set-aside.ts'

/** For how long, minutes; `0` until somebody returns it. The first is the usual: what was forgotten comes back by itself. */
const SPANS = [480, 60, 1440, 3 * 1440, 7 * 1440, 0] as const

/** Asks until when and what for, before a rule is taken out of service. Fires `bw-done` when it was, or was left. */
export class TakeOut extends LitElement {
  static override properties = { alarm: { attribute: false }, vessel: { attribute: false } }
  declare alarm: Alarm | null
  /** The vessel's name. */
  declare vessel: string
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () =>
    this.alarm ? `take-out.${this.alarm.vesselId}.${this.alarm.rule}` : null,
  )

  constructor() {
    super()
    this.alarm = null
    this.vessel = ''
  }

  static override styles = [
    shared,
    css`
      :host {
        display: block;
        background: var(--ground);
        color: var(--ink);
        border-radius: 12px;
        padding: 14px;
      }
      form {
        gap: 12px;
      }
      .row button {
        flex: 1 1 auto;
      }
    `,
  ]

  override firstUpdated(): void {
    this.renderRoot.querySelector('select')?.focus()
  }

  override render() {
    const { alarm } = this
    if (!alarm) return nothing
    return html`<form novalidate @submit=${this.#submit} aria-label="Take out of service">
      <p>
        <strong>${ALARM_WORD[alarm.rule]}, ${this.vessel}</strong>: nobody is called for it meanwhile, however
        bad it gets. Everything else is watched on.
      </p>
      ${list(
        'minutes',
        'Until when',
        this.#sending,
        String(SPANS[0]),
        SPANS.map(minutes => ({ value: String(minutes), text: outFor(minutes) })),
      )}
      ${line('why', 'Why', this.#sending, { maxLength: 200, hint: 'It stands in the journal: “the probe is being cleaned”.' })}
      ${foot(
        this.#sending,
        html`<button ?disabled=${this.#sending.busy}>Take out of service</button>
          <button type="button" class="quiet" @click=${() => this.#done()}>Leave it</button>`,
      )}
    </form>`
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const { alarm } = this
    if (!alarm) return
    const form = event.currentTarget as HTMLFormElement
    const minutes = Number(fieldText(form, 'minutes'))
    const why = fieldText(form, 'why').trim()
    const path = `/vessels/${encodeURIComponent(alarm.vesselId ?? '')}/rules/${alarm.rule}/out-of-service`
    const sent = { ...(minutes === 0 ? {} : { minutes }), ...(why === '' ? {} : { why }) }
    if (await this.#sending.send(() => request('POST', path, sent))) this.#done()
  }

  #done(): void {
    this.#draft.drop()
    this.dispatchEvent(new CustomEvent('bw-done'))
  }
}
defineFor('owner', 'bw-take-out', TakeOut)
