import { html, LitElement, nothing } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import { MOST_SALT_GPL } from '../../broker/hatch/recipe/most-salt.ts'
import { USUAL_SALINITY_GPL } from '../../broker/hatch/recipe/usual.ts'
import type { Preset, Usual } from '../../broker/web/api/books.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import { Fetched } from '../book/fetched.ts'
import { noteStarted } from '../book/just-started.ts'
import { cleaningDueOf } from '../book/usual-words.ts'
import { readHandoff } from '../recipe/handoff.ts'
import { keptGrams } from '../recipe/own-spoons.ts'
import { request } from '../state/api.ts'
import { FormDraft } from '../state/draft.ts'
import { recipePath } from '../state/route.ts'
import { store } from '../state/store.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import type { Goal } from '../words/goal.ts'
import { about, cystSpoons, litresText, saltSpoons } from '../words/amounts.ts'
import { lotToKeep } from '../words/lot-name.ts'
import { localInput } from '../words/time.ts'
import { fieldText, foot, line, list, readNumber, Sending } from './form.ts'
import { notSaved, notSavedStyle } from './not-saved.ts'
import { KnownLots, lotField, lotStyle } from './lot-field.ts'

const AMOUNTS = ['litres', 'cystsG', 'salinityGpl'] as const
type Amount = (typeof AMOUNTS)[number]
const AMOUNT_WORDS = { litres: 'water', cystsG: 'cysts', salinityGpl: 'salt' } as const satisfies Record<
  Amount,
  string
>

/** What starts a batch: water, cysts and salt, and when they came together. */
export class StartBatchForm extends LitElement {
  static override properties = {
    vessel: { attribute: false },
    litres: { state: true },
    cystsG: { state: true },
    salinityGpl: { state: true },
    earlier: { state: true },
    lot: { state: true },
    taken: { state: true },
  }
  declare vessel: Vessel | null
  declare litres: string
  declare cystsG: string
  declare salinityGpl: string
  declare earlier: boolean
  declare lot: string
  /** The own recipe that the amounts were taken from; `null` for none. */
  declare taken: Preset | null
  readonly #lots = new KnownLots(this)
  readonly #sending = new Sending(this)
  readonly #presets = new Fetched<{ presets: readonly Preset[] }>(this, () => '/presets')
  /** The same that the offer above it starts in two taps. */
  readonly #usual = new Fetched<Usual>(this, () =>
    this.vessel && readHandoff(location.search) === null
      ? `/batches/usual?vesselId=${encodeURIComponent(this.vessel.id)}`
      : null,
  )
  /** Filled in again only once the recipes are known: one of them may have been chosen. */
  readonly #draft = new FormDraft(this, () =>
    this.#handed || !this.vessel || !this.#isKnown || (!this.#presets.value && !this.#presets.problem)
      ? null
      : `start.${this.vessel.id}`,
  )
  /** Filled in by a recipe: what was typed before does not come over it. */
  #handed = false
  #handedGoal: Goal | undefined
  #for = ''
  /** What stands in the field of the time at first: set once, so that a ticking clock does not undo what was typed. */
  #suggested = ''

  constructor() {
    super()
    this.vessel = null
    this.litres = ''
    this.cystsG = ''
    this.salinityGpl = String(USUAL_SALINITY_GPL)
    this.earlier = false
    this.lot = ''
    this.taken = null
  }

  static override styles = [shared, lotStyle, notSavedStyle]

  /** What is usual is filled in, or could not be looked up. */
  get #isKnown(): boolean {
    return this.vessel !== null && this.#for === this.vessel.id
  }

  override willUpdate(): void {
    if (!this.vessel || this.#isKnown) return
    const handed = readHandoff(location.search)
    this.#handed = handed !== null
    if (!handed && this.#usual.value?.vesselId !== this.vessel.id && this.#usual.problem === '') return
    this.#for = this.vessel.id
    if (handed) {
      this.litres = String(handed.litres)
      this.cystsG = String(handed.cystsG)
      this.salinityGpl = String(handed.salinityGpl)
      this.#handedGoal = handed.goal
      return
    }
    this.#asOffered()
    this.lot = this.#usual.value?.lot?.name ?? ''
  }

  /** What the amounts are without anything typed. Without an answer the vessel's own litres alone are known. */
  get #offered(): Readonly<Record<Amount, string>> {
    const value = this.taken ?? this.#usual.value
    return {
      litres: String(value?.litres ?? Number((this.vessel?.litres ?? 0).toFixed(2))),
      cystsG: value ? String(value.cystsG) : '',
      salinityGpl: String(value?.salinityGpl ?? USUAL_SALINITY_GPL),
    }
  }
  #asOffered(): void {
    Object.assign(this, this.#offered)
  }

  /** What is typed here and kept on this screen alone. */
  get #typedHere(): readonly string[] {
    if (this.#handed) return []
    const offered = this.#offered
    return [
      ...(this.taken ? [`your own recipe ${this.taken.name}`] : []),
      ...AMOUNTS.filter(name => this[name].trim() !== offered[name]).map(name => AMOUNT_WORDS[name]),
      ...(this.lot.trim() === (this.#usual.value?.lot?.name ?? '') ? [] : ['lot']),
      ...(this.earlier ? ['when the cysts went in'] : []),
    ]
  }

  readonly #putBack = (): void => {
    this.#draft.drop()
    this.taken = null
    this.#asOffered()
    this.lot = this.#usual.value?.lot?.name ?? ''
    this.earlier = false
    const recipes = this.renderRoot.querySelector<HTMLSelectElement>('[name="recipe"]')
    if (recipes) recipes.value = ''
    this.#sending.refuse(new Map())
    this.renderRoot.querySelector<HTMLElement>('form input')?.focus()
  }

  /** Whoever comes from the recipe finds the form, not the top of the page. */
  override firstUpdated(): void {
    if (!readHandoff(location.search)) return
    const fields = this.renderRoot.querySelector<HTMLElement>('form')
    requestAnimationFrame(() => fields?.scrollIntoView({ block: 'center' }))
  }

  override render() {
    const { vessel } = this
    if (!vessel) return nothing
    if (!this.#isKnown) return html`<p class="soft" role="status">Looking up the usual…</p>`
    const litres = readNumber(this.litres)
    const cystsG = readNumber(this.cystsG)
    const salinityGpl = readNumber(this.salinityGpl)
    const number = (name: Amount, label: string, value: string, hint: unknown) =>
      line(name, label, this.#sending, {
        value,
        hint,
        numeric: true,
        onInput: text => {
          this[name] = text
        },
      })
    return html`<form novalidate @submit=${this.#submit} @change=${this.#left}>
      ${this.#recipes(vessel)}
      <div class="pair">
        ${number('litres', 'Water, litres', this.litres, `The vessel takes ${litresText(vessel.litres)}`)}
        ${number(
          'cystsG',
          'Cysts, grams',
          this.cystsG,
          cystsG !== null && cystsG > 0
            ? html`${sentence(about(cystSpoons(cystsG, keptGrams('cystSpoonG'))))}${litres ? `, ${(cystsG / litres).toFixed(1)} g/L` : ''}`
            : 'Weigh them if you can',
        )}
        ${number(
          'salinityGpl',
          'Salt, grams per litre',
          this.salinityGpl,
          salinityGpl !== null && salinityGpl > 0 && litres
            ? html`${(salinityGpl * litres).toFixed(0)} g in all,
              ${about(saltSpoons(salinityGpl * litres, keptGrams('saltSpoonG')))}; 20 to 35 g/L hatch alike`
            : '20 to 35 g/L hatch alike',
        )}
      </div>
      ${lotField(this.#sending, this.#lots, this.lot, lot => {
        this.lot = lot
      })}
      <fieldset>
        <legend>When did the cysts go in?</legend>
        <label class="choice"
          ><input
            type="radio"
            name="when"
            value="now"
            .checked=${!this.earlier}
            @change=${() => {
              this.earlier = false
            }}
          />
          Now</label
        >
        <label class="choice"
          ><input
            type="radio"
            name="when"
            value="earlier"
            .checked=${this.earlier}
            @change=${() => {
              this.#suggested = localInput(store.clock.nowMs(), zone)
              this.earlier = true
            }}
          />
          Earlier</label
        >
        ${
          this.earlier
            ? line('startedAt', 'Date and time', this.#sending, {
                type: 'datetime-local',
                value: this.#suggested,
              })
            : nothing
        }
      </fieldset>
      ${notSaved(this.#typedHere, this.#putBack)}
      ${foot(
        this.#sending,
        html`<button ?disabled=${this.#sending.busy}>Start the batch</button>
          <a class="button quiet" href=${recipePath(vessel.id)}>What goes in</a>`,
      )}
    </form>`
  }

  #recipes(vessel: Vessel) {
    const own = (this.#presets.value?.presets ?? []).filter(
      ({ vesselId }) => vesselId === null || vesselId === vessel.id,
    )
    if (own.length === 0) return nothing
    const usual = this.#usual.value?.recipe
    return html`<div @change=${(event: Event) => this.#take(event, own)}>
      ${list('recipe', 'Your own recipes', this.#sending, this.taken?.id ?? '', [
        { value: '', text: `As usual${usual === undefined ? '' : `: ${usual}`}` },
        ...own.map(({ id, name }) => ({ value: id, text: name })),
      ])}
    </div>`
  }

  /** A recipe fills the amounts in: what was typed there before is gone, and can be typed over it again. */
  #take(event: Event, own: readonly Preset[]): void {
    const { value } = event.target as HTMLSelectElement
    this.taken = own.find(({ id }) => id === value) ?? null
    this.#draft.dropFields(name => name === 'litres' || name === 'cystsG' || name === 'salinityGpl')
    this.#asOffered()
  }

  /** What is wrong with an amount as it is typed; empty for nothing. */
  #wrong(name: Amount, text: string): string {
    const value = readNumber(text)
    switch (name) {
      case 'litres':
        if (value === null || value <= 0) return 'Write the litres of water as a number above 0.'
        return this.vessel && value > this.vessel.litres
          ? `The vessel takes only ${litresText(this.vessel.litres)}.`
          : ''
      case 'cystsG':
        return value === null || value <= 0 ? 'Write the grams of cysts as a number above 0.' : ''
      case 'salinityGpl':
        if (value === null || value < 0) return 'Write the salt as a number.'
        return value > MOST_SALT_GPL
          ? `Up to ${MOST_SALT_GPL} g/L are taken, and 20 to 35 g/L hatch alike.`
          : ''
    }
  }

  /** An amount that was left, or brought back as it was half typed, is looked at at once; an empty one is not done yet. */
  readonly #left = (event: Event): void => {
    const { name, value } = event.target as HTMLInputElement
    const amount = AMOUNTS.find(each => each === name)
    if (amount) this.#sending.complain(amount, value.trim() === '' ? '' : this.#wrong(amount, value))
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const form = event.currentTarget as HTMLFormElement
    const litres = readNumber(this.litres)
    const cystsG = readNumber(this.cystsG)
    const salinityGpl = readNumber(this.salinityGpl)
    const wrong = new Map<string, string>()
    for (const name of AMOUNTS) {
      const words = this.#wrong(name, this[name])
      if (words !== '') wrong.set(name, words)
    }
    const started = this.earlier ? Date.parse(fieldText(form, 'startedAt')) : null
    if (started !== null && Number.isNaN(started)) wrong.set('startedAt', 'Choose a date and a time.')
    if (wrong.size > 0) return this.#sending.refuse(wrong)
    const lot = lotToKeep(this.lot, this.#lots.names)
    const goal = this.taken?.goal ?? this.#handedGoal ?? this.#usual.value?.goal
    const uncleaned = this.vessel !== null && cleaningDueOf(store.state.reminders, this.vessel.id) !== null
    const done = await this.#sending.send(async () => {
      const { id } = await request<Batch>('POST', '/batches', {
        vesselId: this.vessel?.id,
        litres,
        cystsG,
        salinityGpl,
        ...(goal ? { goal } : {}),
        ...(started === null ? {} : { startedAt: new Date(started).toISOString() }),
        ...(lot === '' ? {} : { lot }),
      })
      noteStarted(id, Date.now(), uncleaned)
    })
    // What was handed over is used up: the next batch begins from what is usual.
    if (done) this.#draft.drop()
    if (done) history.replaceState(null, '', location.pathname)
  }
}
defineFor('helper', 'bw-start-batch', StartBatchForm)

const sentence = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1)
