import { html, LitElement, nothing } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { Settings } from '../../broker/web/api/schemas.ts'
import { request } from '../state/api.ts'
import { FormDraft } from '../state/draft.ts'
import { shared } from '../style/shared.ts'
import { fieldText, foot, line, readNumber, Sending } from './form.ts'

/** A month as it is typed here, days. */
const MONTH_DAYS = 365 / 12

/** When a probe that was calibrated is due again. */
export class CalibrationDue extends LitElement {
  static override properties = { settings: { attribute: false } }
  declare settings: Settings | null
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () => (this.settings ? 'calibration-due' : null))
  static override styles = shared

  constructor() {
    super()
    this.settings = null
  }

  override render() {
    const { settings } = this
    if (!settings) return nothing
    const months = Math.round((settings.calibrateEveryDays ?? 365) / MONTH_DAYS)
    return html`<form novalidate @submit=${this.#submit}>
      ${line('months', 'Remind me again after, months', this.#sending, {
        value: String(months),
        hint: '0: never. It reminds, and never sounds.',
        numeric: true,
      })}
      ${foot(this.#sending, html`<button ?disabled=${this.#sending.busy}>Keep this</button>`)}
    </form>`
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const months = readNumber(fieldText(event.currentTarget as HTMLFormElement, 'months'))
    if (months === null || months < 0 || months > 120)
      return this.#sending.refuse(new Map([['months', 'Write months from 0 to 120.']]))
    const calibrateEveryDays = Math.round(months * MONTH_DAYS)
    if (await this.#sending.send(() => request('PUT', '/settings', { ...this.settings, calibrateEveryDays })))
      this.#draft.drop()
  }
}
defineFor('owner', 'bw-calibration-due', CalibrationDue)
