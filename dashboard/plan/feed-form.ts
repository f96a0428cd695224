import { css, html, LitElement, nothing } from 'lit'
import type { HeldPortion } from '../../broker/web/api/books.ts'
import type { Plan } from '../../broker/web/api/plan.ts'
import { fieldText, foot, line, list, readNumber, Sending } from '../forms/form.ts'
import { ApiError, request } from '../state/api.ts'
import { FormDraft } from '../state/draft.ts'
import { shared } from '../style/shared.ts'
import {
  besideItsField,
  type Feedable,
  missingOf,
  missingWords,
  OTHER,
  partsOf,
  partsWords,
  type Source,
  takenFrom,
  takenFromParts,
  toFeed,
  valueOf,
} from './feed-parts.ts'
import { fedWords, namesOf } from './words.ts'
/** From several sources, as it was planned. */
const PLANNED = 'planned'

/** Where a feeding that is half ticked off is kept. */
export const feedDraft = (mealId: string): string => `fed.${mealId}`

/** Ticks one feeding off: how many, and from what. It is filled in as it was planned. */
export class FeedForm extends LitElement {
  static override properties = {
    plan: { attribute: false },
    meal: { attribute: false },
    passed: { type: Boolean },
    portions: { state: true },
    vessels: { state: true },
    typed: { state: true },
    from: { state: true },
  }
  declare plan: Plan | null
  declare meal: Feedable | null
  /** Its time has passed: it may not have been given at all. */
  declare passed: boolean
  /** What is in the refrigerator; `null` while it is not known. */
  declare portions: readonly HeldPortion[] | null
  /** What the vessels of the portions are called, those that are gone among them. */
  declare vessels: Readonly<Record<string, string>>
  /** What stands in the field, once somebody typed. */
  declare typed: string | null
  /** What is chosen, once somebody chose. */
  declare from: string | null
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () => (this.meal && this.portions ? feedDraft(this.meal.id) : null))

  constructor() {
    super()
    this.plan = null
    this.meal = null
    this.passed = false
    this.portions = null
    this.vessels = {}
    this.typed = null
    this.from = null
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
      const { held, names } = await request<{ held: HeldPortion[]; names: Record<string, string> }>(
        'GET',
        '/held',
      )
      this.vessels = names
      this.portions = held
    } catch {
      // Fed from elsewhere it can be ticked off all the same.
      this.portions = []
    }
  }

  override render() {
    const { plan, meal, portions } = this
    if (!plan || !meal) return nothing
    if (!portions) return html`<p class="soft" role="status">Looking what there is…</p>`
    const sources = this.#sources(plan, portions)
    const parts = partsOf(meal, sources)
    const missing = missingWords(missingOf(meal, sources), namesOf(plan))
    const planned = (meal.servings ?? []).map(valueOf)
    const chosen =
      parts.length > 1
        ? PLANNED
        : (planned.find(each => sources.some(({ value }) => value === each)) ?? sources[0]?.value ?? OTHER)
    const asPlanned = `As planned, from ${parts.length} sources${missing === '' ? '' : ' that are there'}`
    const choices = [
      ...(parts.length > 1 ? [{ value: PLANNED, text: asPlanned }] : []),
      ...sources,
      { value: OTHER, text: 'Something else' },
    ]
    const isPlanned = (this.from ?? chosen) === PLANNED
    const usual = String(toFeed(meal, parts))
    return html`<form novalidate @submit=${this.#submit}>
      ${line('nauplii', 'How many nauplii', this.#sending, {
        value: usual,
        numeric: true,
        hint: 'Empty: nobody counted',
        onInput: text => (this.typed = text),
      })}
      ${list('from', 'From', this.#sending, chosen, choices, value => (this.from = value))}
      ${isPlanned ? html`<p role="status">${partsWords(this.typed ?? usual, parts)}</p>` : nothing}
      ${missing === '' ? nothing : html`<p>${missing}</p>`}
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

  #sources(plan: Plan | null, portions: readonly HeldPortion[] | null): Source[] {
    if (!plan || !portions) return []
    const names = namesOf(plan)
    // One that was put away keeps the name it had.
    const vessel = (id: string) => this.vessels[id] ?? names.vessel(id)
    return [
      ...portions.map(({ id, vesselId, left }) => ({
        value: `held ${id}`,
        text: `The refrigerator, of ${vessel(vesselId)}${left === null ? '' : `: ${fedWords(left)} left`}`,
        brief: `the refrigerator, of ${vessel(vesselId)}`,
        most: left,
      })),
      ...plan.running.map(({ batchId, vesselId }) => ({
        value: `batch ${batchId}`,
        text: `The vessel ${names.vessel(vesselId)}`,
        brief: names.vessel(vesselId),
        most: null,
      })),
    ]
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
    const parts = partsOf(meal, this.#sources(this.plan, this.portions))
    const chosen = fieldText(form, 'from')
    const { cohortId, id: mealId } = meal
    const taken = chosen === PLANNED ? takenFromParts(nauplii, parts) : takenFrom(chosen, nauplii)
    const give = async () => {
      try {
        await request('POST', '/feedings', { cohortId, mealId, ...taken })
      } catch (error) {
        throw error instanceof ApiError
          ? besideItsField(error, 'parts' in taken ? taken.parts : [], parts)
          : error
      }
    }
    if (!(await this.#sending.send(give))) return
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
