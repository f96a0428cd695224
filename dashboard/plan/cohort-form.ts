import { css, html, LitElement, nothing } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { Cohort } from '../../broker/web/api/plan.ts'
import { field, foot, line, readNumber, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { dropDraft, keepDraft, readDraft } from '../state/draft.ts'
import { Tick } from '../state/watch.ts'
import { zone as ownZone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import type { Zone } from '../words/time.ts'
import { EXAMPLES } from './examples.ts'
import { differs, zoneName } from './other-zone.ts'
import { LIKE, readCohort, timesWords, type Typed, typedOf } from './typed-cohort.ts'

/** Where a half-typed group of fry is kept. */
export const cohortDraft = (id: string): string => `cohort.${id}`

/** One group of fry: how many, how old, what they eat when. What was typed outlives the page until it is saved. */
export class CohortForm extends LitElement {
  static override properties = {
    cohort: { attribute: false },
    zone: { attribute: false },
    typed: { state: true },
  }
  /** `null`: a new one. */
  declare cohort: Cohort | null
  /** In which it is planned: its times of feeding are of this clock. */
  declare zone: Zone
  declare typed: Typed
  readonly #sending = new Sending(this)
  readonly #tick = new Tick(this, 600_000)

  constructor() {
    super()
    this.cohort = null
    this.zone = ownZone
    this.typed = typedOf(null, 0, ownZone)
  }
  static override styles = [
    shared,
    css`
      form {
        padding: 4px 0 8px;
      }
      .times input {
        font-variant-numeric: tabular-nums;
      }
    `,
  ]

  get #key(): string {
    return cohortDraft(this.cohort?.id ?? 'new')
  }

  override connectedCallback(): void {
    super.connectedCallback()
    this.typed = {
      ...typedOf(this.cohort, this.#tick.nowMs, ownZone),
      ...readDraft<Partial<Typed>>(this.#key, Date.now()),
    }
  }

  override render() {
    const { typed } = this
    const text = (name: keyof Typed, label: string, hint: unknown = nothing, numeric = false) =>
      line(name, label, this.#sending, {
        value: typed[name],
        hint,
        numeric,
        onInput: value => this.#type({ [name]: value }),
      })
    return html`<form novalidate @submit=${this.#submit} @input=${this.#sending.changed}>
      ${text('name', 'Name', 'What you call them: a tank, a spawn.')}
      <div class="pair">
        ${text('species', 'Species', 'In your own words.')} ${text('fry', 'How many fry', nothing, true)}
      </div>
      ${
        this.cohort
          ? nothing
          : field(
              'example',
              'Begin with a published ration',
              this.#sending,
              at =>
                html`<select id=${at.id} aria-describedby=${at.describedBy} @change=${this.#takeExample}>
                  <option value="">None: I know what they eat</option>
                  ${EXAMPLES.map(({ id, words }) => html`<option value=${id}>${words}</option>`)}
                </select>`,
            )
      }
      <div class="pair">
        ${text('ageDays', 'Age today, days', nothing, true)}
        ${text('perFry', 'Nauplii a fry a day', 'From now on.', true)}
      </div>
      <details ?open=${typed.laterDay !== ''}>
        <summary>They will eat more when they are older</summary>
        <div class="pair">
          ${text('laterDay', 'From an age of, days', nothing, true)}
          ${text('laterPerFry', 'Nauplii a fry a day then', nothing, true)}
        </div>
      </details>
      <div class="times">
        ${text('times', 'Fed at', `Like ${timesWords(LIKE, ownZone)}${!differs(this.#tick.nowMs, this.zone, ownZone) ? '' : `, by the clock of ${zoneName(this.zone.timeZone)}`}: the day’s ration is split evenly.`)}
      </div>
      <fieldset>
        <legend>Which nauplii can they eat?</legend>
        <label class="choice"
          ><input
            type="radio"
            name="food"
            .checked=${typed.food === 'instar-1'}
            @change=${() => this.#type({ food: 'instar-1' })}
          />The smallest: before the first moult, about 8 h old</label
        >
        <label class="choice"
          ><input
            type="radio"
            name="food"
            .checked=${typed.food === 'up-to'}
            @change=${() => this.#type({ food: 'up-to' })}
          />Older ones too</label
        >
      </fieldset>
      ${
        typed.food === 'up-to'
          ? text(
              'hours',
              'Up to so many hours old',
              'After a day a quarter to a third of their energy is gone. Hours in the cold are not counted: there they hardly grow, and lose about 8 % in a day.',
              true,
            )
          : nothing
      }
      ${foot(
        this.#sending,
        html`<button ?disabled=${this.#sending.busy}>${this.cohort ? 'Save' : 'Add these fry'}</button>
          <button type="button" class="quiet" @click=${this.#close}>
            ${this.cohort ? 'Close' : 'Not now'}
          </button>`,
      )}
    </form>`
  }

  #type(change: Partial<Typed>): void {
    this.typed = { ...this.typed, ...change }
    keepDraft(this.#key, this.typed, Date.now())
  }

  #clear(): void {
    this.typed = typedOf(null, this.#tick.nowMs, ownZone)
    const example = this.renderRoot.querySelector('select')
    if (example) example.value = ''
  }

  readonly #takeExample = (event: Event): void => {
    const example = EXAMPLES.find(({ id }) => id === (event.target as HTMLSelectElement).value)
    if (example)
      this.#type({ perFry: String(example.naupliiPerFry), times: timesWords(example.times, ownZone) })
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const read = readCohort(this.typed, this.#tick.nowMs, readNumber, ownZone)
    if ('wrong' in read) {
      this.#sending.refuse(read.wrong)
      return
    }
    const { cohort } = this
    const sent = await this.#sending.send(() =>
      cohort
        ? request('PUT', `/cohorts/${encodeURIComponent(cohort.id)}`, read.fields)
        : request('POST', '/cohorts', read.fields),
    )
    if (!sent) return
    dropDraft(this.#key)
    // The form may stay until the plan knows of the group: the next one is another.
    if (!cohort) this.#clear()
    this.dispatchEvent(new CustomEvent('kept', { bubbles: true, composed: true }))
  }

  readonly #close = (): void => {
    dropDraft(this.#key)
    this.dispatchEvent(new CustomEvent('closed', { bubbles: true, composed: true }))
  }
}
defineFor('helper', 'bw-cohort-form', CohortForm)
