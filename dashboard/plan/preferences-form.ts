import { html, LitElement, nothing } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { PlanPreferences } from '../../broker/web/api/plan.ts'
import { fieldText, foot, line, list, readNumber, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { FormDraft } from '../state/draft.ts'
import { zone as ownZone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { timeOfDay } from '../words/time.ts'
import { timesOf } from './typed-cohort.ts'

/** 2 to 4 °C for 48 h leave over 90 % alive (J. Biol. Res. 2005). */
const COLD = { keepsH: 48, survival: 0.9 }

/** Where half-typed preferences are kept. */
export const PREFERENCES_DRAFT = 'plan-preferences'

/** As it is sent; what is no time goes as it was typed, and comes back with what is wrong. */
function timeText(form: HTMLFormElement, name: string): string {
  const text = fieldText(form, name).trim()
  return timesOf(text)?.[0] ?? text
}

/** How the person lives and works, as far as the plan goes by it. */
export class PlanPreferencesForm extends LitElement {
  static override properties = { preferences: { attribute: false } }
  declare preferences: PlanPreferences | null
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () => (this.preferences ? PREFERENCES_DRAFT : null))

  constructor() {
    super()
    this.preferences = null
  }
  static override styles = shared

  override render() {
    const { preferences } = this
    if (!preferences) return nothing
    const { wake, gramStep, spare, cold, days, turnroundMin, maxGpl, zone } = preferences
    const number = (name: string, label: string, value: number, hint: unknown = nothing) =>
      line(name, label, this.#sending, { value: String(value), numeric: true, hint })
    return html`<form novalidate @submit=${this.#submit} @input=${this.#sending.changed}>
      <div class="pair">
        ${line('wake.from', 'You are up from', this.#sending, { value: timeOfDay(wake.from, ownZone) })}
        ${line('wake.until', 'You are up until', this.#sending, { value: timeOfDay(wake.until, ownZone) })}
      </div>
      ${line('zone', 'Zone of the clock', this.#sending, { value: zone, hint: 'Like Europe/Berlin.' })}
      <div class="pair">
        ${list(
          'days',
          'Days to plan',
          this.#sending,
          String(days),
          [3, 7, 14].map(n => ({ value: String(n), text: `${n} days` })),
        )}
        ${number('spare', 'Spare, %', Math.round(spare * 100), 'More nauplii than are eaten.')}
      </div>
      <div class="pair">
        ${number('gramStep', 'Smallest step, g', gramStep, 'What your scale shows, or your smallest spoon.')}
        ${number('maxGpl', 'Most cysts, g/L', maxGpl, 'Above 5 fewer hatch.')}
      </div>
      ${number('turnroundMin', 'From a harvest to the next start, minutes', turnroundMin, 'To rinse and fill again.')}
      <label class="choice"
        ><input type="checkbox" name="cold" .checked=${cold !== null} />Nauplii may be held in the
        refrigerator, up to ${cold?.keepsH ?? COLD.keepsH} h</label
      >
      ${foot(this.#sending, html`<button ?disabled=${this.#sending.busy}>Save</button>`)}
    </form>`
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const { preferences } = this
    if (!preferences) return
    const form = event.target as HTMLFormElement
    const number = (name: string) => readNumber(fieldText(form, name))
    const changed = {
      zone: fieldText(form, 'zone').trim(),
      wake: { from: timeText(form, 'wake.from'), until: timeText(form, 'wake.until') },
      gramStep: number('gramStep'),
      spare: (number('spare') ?? NaN) / 100,
      cold: form.querySelector<HTMLInputElement>('[name=cold]')?.checked ? (preferences.cold ?? COLD) : null,
      days: number('days'),
      turnroundMin: number('turnroundMin'),
      maxGpl: number('maxGpl'),
    }
    if (!(await this.#sending.send(() => request('PUT', '/plan/preferences', changed)))) return
    this.#draft.drop()
    this.dispatchEvent(new CustomEvent('kept', { bubbles: true, composed: true }))
  }
}
defineFor('owner', 'bw-plan-preferences', PlanPreferencesForm)
