import { css, html, LitElement, nothing } from 'lit'
import type { HeldPortion } from '../../broker/web/api/books.ts'
import type { Plan } from '../../broker/web/api/plan.ts'
import { fieldText, foot, line, list, readNumber, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { FormDraft } from '../state/draft.ts'
import { shared } from '../style/shared.ts'
import { type Meal, namesOf, roundNauplii } from './words.ts'

/** A feeding of the plan that can be ticked off. */
export type Feedable = Pick<Meal, 'id' | 'cohortId' | 'at' | 'nauplii'> & Partial<Pick<Meal, 'servings'>>

const OTHER = 'other'

/** Where a feeding that is half ticked off is kept. */
export const feedDraft = (mealId: string): string => `fed.${mealId}`

/** Ticks one feeding off: how many, and from what. It is filled in as it was planned. */
export class FeedForm extends LitElement {
  static override properties = {
    plan: { attribute: false },
    meal: { attribute: false },
    passed: { type: Boolean },
    portions: { state: true },
  }
  declare plan: Plan | null
  declare meal: Feedable | null
  /** Its time has passed: it may not have been given at all. */
  declare passed: boolean
  /** What is in the refrigerator; `null` while it is not known. */
  declare portions: readonly HeldPortion[] | null
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () => (this.meal && this.portions ? feedDraft(this.meal.id) : null))

  constructor() {
    super()
    this.plan = null
    this.meal = null
    this.passed = false
    this.portions = null
  }
  static override styles = [
    shared,
    css`
      form {
        padding: 4px 0 8px;
      }
    `,
  ]

  override connectedCallback(): void {
    super.connectedCallback()
    void this.#ask()
  }

  async #ask(): Promise<void> {
    try {
      this.portions = (await request<{ held: HeldPortion[] }>('GET', '/held')).held
    } catch {
      // Fed from elsewhere it can be ticked off all the same.
      this.portions = []
    }
  }

  override render() {
    const { plan, meal, portions } = this
    if (!plan || !meal) return nothing
    if (!portions) return html`<p class="soft" role="status">Looking what there is…</p>`
    const names = namesOf(plan)
    const sources = [
      ...portions.map(({ id, vesselId, left }) => ({
        value: `held ${id}`,
        text: `The refrigerator, from ${names.vessel(vesselId)}${left === null ? '' : `: ${roundNauplii(left)} left`}`,
      })),
      ...plan.running.map(({ batchId, vesselId }) => ({
        value: `batch ${batchId}`,
        text: `${names.vessel(vesselId)}, from the vessel`,
      })),
      { value: OTHER, text: 'Something else' },
    ]
    const planned = (meal.servings ?? []).map(({ source, sourceId }) =>
      source === 'running' ? `batch ${sourceId}` : `${source} ${sourceId}`,
    )
    const chosen =
      planned.find(each => sources.some(({ value }) => value === each)) ?? sources[0]?.value ?? OTHER
    return html`<form novalidate @submit=${this.#submit}>
      <div class="pair">
        ${line('nauplii', 'How many nauplii', this.#sending, {
          value: String(Math.round(meal.nauplii)),
          numeric: true,
          hint: 'Empty: nobody counted',
        })}
        ${list('from', 'From', this.#sending, chosen, sources)}
      </div>
      ${foot(
        this.#sending,
        html`<button ?disabled=${this.#sending.busy}>Fed</button>
          ${
            this.passed
              ? html`<button
                  type="button"
                  class="quiet"
                  ?disabled=${this.#sending.busy}
                  @click=${this.#notGiven}
                >
                  It was not given
                </button>`
              : nothing
          }
          <button type="button" class="quiet" @click=${this.#close}>Not now</button>`,
      )}
    </form>`
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const { meal } = this
    if (!meal) return
    const form = event.currentTarget as HTMLFormElement
    const typed = fieldText(form, 'nauplii')
    const nauplii = typed.trim() === '' ? null : readNumber(typed)
    if (typed.trim() !== '' && (nauplii === null || nauplii < 0))
      return this.#sending.refuse(new Map([['nauplii', 'Write a number, or leave it empty.']]))
    const [from = OTHER, fromId = null] = fieldText(form, 'from').split(' ')
    const { cohortId, id: mealId } = meal
    const body = { cohortId, mealId, nauplii, from, fromId: from === OTHER ? null : fromId }
    if (!(await this.#sending.send(() => request('POST', '/feedings', body)))) return
    this.#draft.drop()
    this.dispatchEvent(new CustomEvent('kept', { bubbles: true, composed: true }))
  }

  /** Nothing was taken from anywhere; it is asked for no more. */
  readonly #notGiven = async (): Promise<void> => {
    const { meal } = this
    if (!meal) return
    const body = { cohortId: meal.cohortId, mealId: meal.id, nauplii: 0, from: OTHER, fromId: null }
    if (!(await this.#sending.send(() => request('POST', '/feedings', body)))) return
    this.#draft.drop()
    this.dispatchEvent(new CustomEvent('kept', { bubbles: true, composed: true }))
  }

  readonly #close = (): void => {
    this.#draft.drop()
    this.dispatchEvent(new CustomEvent('closed', { bubbles: true, composed: true }))
  }
}
customElements.define('bw-feed-form', FeedForm)
