import { css, html, LitElement, nothing } from 'lit'
import type { HeldPortion } from '../../broker/web/api/books.ts'
import type { Plan } from '../../broker/web/api/plan.ts'
import { fieldText, foot, line, list, readNumber, Sending } from '../forms/form.ts'
import { ApiError, request } from '../state/api.ts'
import { FormDraft, keepDraft, readDraft } from '../state/draft.ts'
import { Tick } from '../state/watch.ts'
import { zone as ownZone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import {
  besideItsField,
  beyondWords,
  type Feedable,
  missingOf,
  missingWords,
  OTHER,
  partsOf,
  partsWords,
  proposed,
  type Part,
  type Source,
  sumTaken,
  type Taken,
  takenFrom,
  takenFromParts,
  together,
  valueOf,
} from './feed-parts.ts'
import { keptMore, type MoreSource, readMore } from './more-sources.ts'
import { earlyWords, stillToGive, stillWords } from './ticking.ts'
import { dueOf, fedWords, namesOf } from './words.ts'
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
    more: { state: true },
    asked: { state: true },
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
  /** Further sources that it came from: what stands in the fields of each. */
  declare more: readonly MoreSource[]
  /** It is hours early, and that was asked. */
  declare asked: boolean
  readonly #sending = new Sending(this)
  readonly #tick = new Tick(this, 30_000)
  /** The feeding whose further sources were brought back. */
  #restored = ''
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
    this.more = []
    this.asked = false
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

  /** Further sources first: what was typed of them has no fields to go into before. */
  override willUpdate(): void {
    const { plan, meal, portions } = this
    if (!plan || !meal || !portions || this.#restored === meal.id) return
    this.#restored = meal.id
    const there = this.#sources(plan, portions).map(({ value }) => value)
    this.more = readMore(readDraft(feedDraft(meal.id), Date.now()), there)
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
    const usual = String(proposed(meal, this.from ?? chosen, parts, sources))
    const beyond = this.#beyond(this.from ?? chosen, this.typed ?? usual, parts, sources)
    const typed = [this.typed ?? usual, ...this.more.map(each => each.typed)]
    const rest = stillToGive(
      dueOf(meal.nauplii),
      sumTaken(typed.map(text => ({ nauplii: text.trim() === '' ? null : readNumber(text) }))),
    )
    const early = earlyWords(Date.parse(meal.at), this.#tick.nowMs, this.#zone(plan))
    return html`<form novalidate @submit=${this.#submit}>
      ${line('nauplii', 'How many nauplii', this.#sending, {
        value: usual,
        numeric: true,
        hint: 'Empty: nobody counted',
        onInput: text => (this.typed = text),
      })}
      ${list('from', 'From', this.#sending, chosen, choices, value => (this.from = value))}
      ${isPlanned ? html`<p role="status">${partsWords(this.typed ?? usual, parts)}</p>` : nothing}
      ${this.more.map((each, at) => this.#another(each, at, sources))}
      ${
        sources.length + 1 > this.more.length + Math.max(1, isPlanned ? parts.length : 1)
          ? html`<div class="row">
              <button type="button" class="quiet" @click=${this.#addSource}>Add another source</button>
            </div>`
          : nothing
      }
      ${beyond === '' ? nothing : html`<p role="status">${beyond}</p>`}
      ${missing === '' ? nothing : html`<p>${missing}</p>`} ${rest > 0 ? this.#rest(rest) : nothing}
      ${this.asked ? html`<p role="alert">${early}</p>` : nothing}
      ${foot(
        this.#sending,
        html`<button ?disabled=${this.#sending.busy}>${this.asked ? 'Yes, it was fed' : 'Fed'}</button>
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

  #beyond(chosen: string, typed: string, parts: readonly Part[], sources: readonly Source[]): string {
    const count = (text: string) => (text.trim() === '' ? null : readNumber(text))
    const first = chosen === PLANNED ? takenFromParts(count(typed), parts) : takenFrom(chosen, count(typed))
    const more = this.more.map(each => takenFrom(each.from, count(each.typed)))
    return beyondWords([...('parts' in first ? first.parts : [first]), ...more], sources)
  }

  readonly #zone = (plan: Plan) => ({ locale: ownZone.locale, timeZone: plan.preferences.zone })

  /** One more source, and how many came from it. */
  #another({ from, typed }: MoreSource, at: number, sources: readonly Source[]) {
    const change = (to: Partial<MoreSource>) => {
      this.more = this.more.map((each, i) => (i === at ? { ...each, ...to } : each))
    }
    return html`${list(
      `from${at + 2}`,
      'And from',
      this.#sending,
      from,
      [...sources, { value: OTHER, text: 'Something else' }],
      value => change({ from: value }),
    )}
    ${line(`nauplii${at + 2}`, 'How many from there', this.#sending, {
      value: typed,
      numeric: true,
      hint: 'Empty: nobody counted',
      onInput: text => change({ typed: text }),
    })}`
  }

  /** Fewer than are due: the rest stays in the plan, unless somebody says that it was enough. */
  #rest(rest: number) {
    return html`<p role="status">${stillWords(rest)}</p>
      <label class="choice"
        ><input type="checkbox" name="enough" /> That was all they get: plan no more for it</label
      >`
  }

  readonly #addSource = (): void => {
    const { meal, plan, portions } = this
    if (!meal) return
    const sources = this.#sources(plan, portions)
    const form = this.renderRoot.querySelector('form')
    const chosen = form ? fieldText(form, 'from') : ''
    const used = [
      ...(chosen === PLANNED ? partsOf(meal, sources).map(({ value }) => value) : [chosen]),
      ...this.more.map(({ from }) => from),
    ]
    const free = sources.find(({ value }) => !used.includes(value))?.value ?? OTHER
    const due = dueOf(meal.nauplii)
    const given = sumTaken(
      [
        this.typed ?? String(proposed(meal, chosen, partsOf(meal, sources), sources)),
        ...this.more.map(({ typed }) => typed),
      ].map(text => ({ nauplii: readNumber(text) })),
    )
    const lacks = given === null ? 0 : Math.max(0, due - given)
    this.more = [...this.more, { from: free, typed: lacks > 0 ? String(lacks) : '0' }]
    const key = feedDraft(meal.id)
    keepDraft(key, { ...readDraft<object>(key, Date.now()), ...keptMore(this.more) }, Date.now())
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
    const more: Taken[] = []
    for (const [at, each] of this.more.entries()) {
      const many = each.typed.trim() === '' ? null : readNumber(each.typed)
      if (each.typed.trim() !== '' && (many === null || many < 0))
        return this.#sending.refuse(new Map([[`nauplii${at + 2}`, 'Write a number, or leave it empty.']]))
      more.push(takenFrom(each.from, many))
    }
    const { plan } = this
    if (!this.asked && plan && earlyWords(Date.parse(meal.at), this.#tick.nowMs, this.#zone(plan)) !== '') {
      this.asked = true
      return
    }
    const parts = partsOf(meal, this.#sources(this.plan, this.portions))
    const chosen = fieldText(form, 'from')
    const { cohortId, id: mealId } = meal
    const first = chosen === PLANNED ? takenFromParts(nauplii, parts) : takenFrom(chosen, nauplii)
    const all = together([...('parts' in first ? first.parts : [first]), ...more])
    const [only] = all
    const taken = all.length === 1 && only && !('parts' in first) ? only : { parts: all }
    const isEnough = form.querySelector<HTMLInputElement>('[name="enough"]')?.checked === true
    const rest = isEnough ? 0 : stillToGive(dueOf(meal.nauplii), sumTaken(all))
    const give = async () => {
      try {
        await request('POST', '/feedings', {
          cohortId,
          mealId,
          ...taken,
          ...(rest > 0 ? { more: true } : {}),
        })
      } catch (error) {
        throw error instanceof ApiError
          ? besideItsField(
              error,
              'parts' in taken ? taken.parts : [],
              this.#sources(this.plan, this.portions),
            )
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
