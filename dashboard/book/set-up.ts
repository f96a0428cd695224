import { css, html, LitElement, nothing, type PropertyValues } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import { recipe } from '../../broker/hatch/recipe/recipe.ts'
import { RecipeError } from '../../broker/hatch/recipe/errors.ts'
import type { Caution, Step } from '../../broker/hatch/recipe/steps.ts'
import type { Usual, Walk } from '../../broker/web/api/books.ts'
import { line, list, problem, readNumber, Sending } from '../forms/form.ts'
import { KnownLots, lotField, lotStyle } from '../forms/lot-field.ts'
import { keptGrams } from '../recipe/own-spoons.ts'
import { request } from '../state/api.ts'
import { dropDraft, keepDraft, readDraft } from '../state/draft.ts'
import { go, vesselPath } from '../state/route.ts'
import { Tick, Watch } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { type Goal, GOAL_WORDS, GOALS } from '../words/goal.ts'
import { lotToKeep } from '../words/lot-name.ts'
import { ownUnitFirst } from '../words/temperature.ts'
import { moment } from '../words/time.ts'
import { noteStarted } from './just-started.ts'
import './own-recipes.ts'
import type { Preset } from '../../broker/web/api/books.ts'
import { abandonWalk, beginWalk, doneAt, finishWalk, keepWalkDraft, tick } from './walk.ts'
import { walkStyle } from './walk-style.ts'

type Field = 'litres' | 'cystsG' | 'salinityGpl'
type Wish = Readonly<Record<Field | 'lot' | 'goal' | 'recipe', string>>
const EMPTY: Wish = { litres: '', cystsG: '', salinityGpl: '', lot: '', goal: '', recipe: '' }
/** So long after the last key what was typed is kept, ms. */
const KEEP_AFTER_MS = 400

const draftKey = ({ id }: Walk): string => `set-up.${id}`

const GOAL_OPTIONS = GOALS.map(goal => ({
  value: goal,
  text: `${GOAL_WORDS[goal].name}: ${GOAL_WORDS[goal].means}`,
}))
/** A walk that was begun by an older version says none. */
const goalOf = (typed: string): Goal => GOALS.find(goal => goal === typed) ?? 'balanced'

/** Where each caution belongs. */
const CAUTION_AT: Readonly<Partial<Record<Step['id'], Caution['id']>>> = {
  air: 'air-first',
  warm: 'lamp',
  cysts: 'dust',
}

/** The set-up, walked: what goes in and in which order, each step with its amounts and a mark. The broker keeps every mark. */
export class SetUp extends LitElement {
  static override properties = {
    vesselId: { attribute: false },
    walk: { state: true },
    wish: { state: true },
    failed: { state: true },
  }
  declare vesselId: string
  declare walk: Walk | null
  declare wish: Wish
  declare failed: string
  readonly #sending = new Sending(this)
  readonly #lots = new KnownLots(this)
  readonly #vessels = new Watch(this, from => from.state.vessels)
  readonly #unit = new Watch(this, from => from.state.settings?.temperatureUnit ?? 'C')
  readonly #clock = new Tick(this, 30_000)
  #timer: ReturnType<typeof setTimeout> | undefined

  constructor() {
    super()
    this.vesselId = ''
    this.walk = null
    this.wish = EMPTY
    this.failed = ''
  }

  static override styles = [
    shared,
    lotStyle,
    walkStyle,
    css`
      .start {
        min-height: 64px;
      }
      /* At a desk the amounts stay beside the steps that follow from them. */
      @media (min-width: 1000px) {
        form {
          max-width: none;
          grid-template-columns: minmax(0, 26rem) minmax(0, 34rem);
          gap: 18px 48px;
          align-items: start;
        }
        .amounts {
          position: sticky;
          top: 150px;
        }
      }
      .amounts,
      .follow {
        display: grid;
        grid-template-columns: minmax(0, 1fr);
        gap: 18px;
      }
    `,
  ]

  override willUpdate(changed: PropertyValues<this>): void {
    if (changed.has('vesselId') && this.vesselId !== '') void this.#begin()
  }
  override disconnectedCallback(): void {
    super.disconnectedCallback()
    if (this.#timer !== undefined) this.#keepNow()
  }

  override render() {
    const vessel = this.#vessels.value.get(this.vesselId)
    if (!vessel)
      return html`<p class="page">There is no such vessel any more. <a href="/">Back to the room</a></p>`
    if (this.failed !== '')
      return html`<div class="page">
        <p class="failed" role="alert">${this.failed}</p>
        <a href=${vesselPath(vessel.id)}>Back to ${vessel.name}</a>
      </div>`
    const { walk } = this
    if (!walk) return html`<p class="page soft" role="status">Laying out what is needed…</p>`
    const number = (name: Field, label: string) =>
      line(name, label, this.#sending, {
        value: this.wish[name],
        numeric: true,
        onInput: text => this.#typed({ [name]: text }),
      })
    return html`<div class="page">
      <h1>Set up ${vessel.name}</h1>
      ${this.wish.recipe === '' ? nothing : html`<p>By your own recipe <strong>${this.wish.recipe}</strong>.</p>`}
      <bw-own-recipes
        .vesselId=${vessel.id}
        .amounts=${this.#amounts()}
        @bw-recipe=${this.#take}
      ></bw-own-recipes>
      <form novalidate @submit=${this.#start}>
        <div class="amounts">
          <div class="pair">
            ${number('litres', 'Water, litres')} ${number('salinityGpl', 'Salt, grams per litre')}
            ${number('cystsG', 'Cysts, grams')}
          </div>
          ${list('goal', 'Which food is wanted?', this.#sending, goalOf(this.wish.goal), GOAL_OPTIONS, goal => this.#typed({ goal }))}
          ${lotField(this.#sending, this.#lots, this.wish.lot, lot => this.#typed({ lot }))}
        </div>
        <div class="follow">
          ${this.#steps(walk)} ${problem(this.#sending)}
          <button class="start" ?disabled=${this.#sending.busy}>The cysts are in: start the batch</button>
          <button type="button" class="quiet" @click=${this.#giveUp}>Give this set-up up</button>
        </div>
      </form>
    </div>`
  }

  #steps(walk: Walk) {
    const made = this.#recipe()
    if (made === null) return html`<p class="soft">Write the amounts, and the steps follow.</p>`
    const steps = made.steps.filter(({ id }) => id !== 'ring')
    const next = steps.find(({ id }) => doneAt(walk, id) === null)
    return html`${made.warnings.map(({ words }) => html`<p class="caution">${ownUnitFirst(words, this.#unit.value)}</p>`)}
      <p class="caution">${made.cautions.find(({ id }) => id === 'mains')?.words}</p>
      <ol class="walk" aria-label="Steps">
        ${steps.map(step => this.#step(walk, step, step === next, made.cautions))}
      </ol>`
  }

  #step(walk: Walk, { id, words }: Step, isNext: boolean, cautions: readonly Caution[]) {
    const at = doneAt(walk, id)
    const caution = cautions.find(each => each.id === CAUTION_AT[id])
    return html`<li class=${at ? 'done' : isNext ? 'next' : ''}>
      <label class="step">
        <input
          type="checkbox"
          .checked=${at !== null}
          @change=${(event: Event) => void this.#tick(id, (event.target as HTMLInputElement).checked)}
        />
        <span class="what"
          >${ownUnitFirst(words, this.#unit.value)}
          ${at ? html`<span class="when">done ${moment(Date.parse(at), this.#clock.nowMs, zone)}</span>` : nothing}</span
        >
      </label>
      ${caution && at === null ? html`<p class="caution">${caution.words}</p>` : nothing}
    </li>`
  }

  #recipe() {
    const [litres, cystsG, salinityGpl] = this.#numbers()
    if (!litres || !cystsG || salinityGpl === null || salinityGpl === undefined) return null
    const own = (field: 'saltSpoonG' | 'cystSpoonG') => {
      const grams = keptGrams(field)
      return grams === null ? {} : { [field]: grams }
    }
    try {
      return recipe({
        litres,
        salinityGpl,
        cystsGpl: cystsG / litres,
        ...own('saltSpoonG'),
        ...own('cystSpoonG'),
      })
    } catch (error) {
      if (error instanceof RecipeError) return null
      throw error
    }
  }

  #numbers() {
    return (['litres', 'cystsG', 'salinityGpl'] as const).map(field => readNumber(this.wish[field]))
  }

  #amounts() {
    const [litres, cystsG, salinityGpl] = this.#numbers()
    const isWhole = litres && cystsG && salinityGpl !== null && salinityGpl !== undefined
    return isWhole ? { litres, cystsG, salinityGpl, goal: goalOf(this.wish.goal) } : null
  }

  readonly #take = ({ detail }: CustomEvent<Preset>): void => {
    const { litres, cystsG, salinityGpl, goal, name } = detail
    this.#typed({
      litres: String(litres),
      cystsG: String(cystsG),
      salinityGpl: String(salinityGpl),
      goal,
      recipe: name,
    })
  }

  async #begin(): Promise<void> {
    const { vesselId } = this
    this.walk = null
    this.failed = ''
    try {
      const path = `/batches/usual?vesselId=${encodeURIComponent(vesselId)}`
      const { litres, cystsG, salinityGpl, lot, goal, recipe } = await request<Usual>('GET', path)
      const draft = {
        litres: String(litres),
        cystsG: String(cystsG),
        salinityGpl: String(salinityGpl),
        lot: lot?.name ?? '',
        goal,
        recipe: recipe ?? '',
      }
      const walk = await beginWalk('set-up', vesselId, draft)
      if (vesselId !== this.vesselId) return
      const unsent = readDraft<Wish>(draftKey(walk), Date.now())
      this.wish = { ...EMPTY, ...(walk.draft as Partial<Wish>), ...unsent }
      this.walk = walk
    } catch (error) {
      this.failed = error instanceof Error ? error.message : 'The set-up could not be begun.'
    }
  }

  #typed(part: Partial<Wish>): void {
    this.wish = { ...this.wish, ...part }
    // At once on this screen, in case it is closed before the broker was told.
    if (this.walk) keepDraft(draftKey(this.walk), this.wish, Date.now())
    clearTimeout(this.#timer)
    this.#timer = setTimeout(() => this.#keepNow(), KEEP_AFTER_MS)
  }

  #keepNow(): void {
    clearTimeout(this.#timer)
    this.#timer = undefined
    // Should it not get through, the next key or tick brings it there.
    const { walk } = this
    if (!walk) return
    keepWalkDraft(walk.id, { ...this.wish }).then(
      () => this.#timer === undefined && dropDraft(draftKey(walk)),
      () => undefined,
    )
  }

  async #tick(step: string, done: boolean): Promise<void> {
    const { walk } = this
    if (!walk) return
    const kept = await this.#sending.send(async () => {
      this.walk = await tick(walk.id, step, done)
    })
    // A mark that was not kept is not shown either.
    if (!kept) this.walk = { ...walk }
  }

  readonly #start = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const { walk } = this
    const [litres, cystsG, salinityGpl] = this.#numbers()
    const wrong = new Map<string, string>()
    if (!litres || litres <= 0) wrong.set('litres', 'Write the litres as a number above 0.')
    if (!cystsG || cystsG <= 0) wrong.set('cystsG', 'Write the grams as a number above 0.')
    if (salinityGpl === null || salinityGpl === undefined || salinityGpl < 0)
      wrong.set('salinityGpl', 'Write the salt as a number.')
    if (wrong.size > 0 || !walk) return this.#sending.refuse(wrong)
    const lot = lotToKeep(this.wish.lot, this.#lots.names)
    const goal = goalOf(this.wish.goal)
    const batch = { litres, cystsG, salinityGpl, goal, ...(lot === '' ? {} : { lot }) }
    clearTimeout(this.#timer)
    this.#timer = undefined
    const start = async () => noteStarted((await finishWalk(walk.id, { batch })).batchId, Date.now())
    if (await this.#sending.send(start)) go(vesselPath(this.vesselId))
  }

  readonly #giveUp = async (): Promise<void> => {
    const { walk } = this
    if (walk && (await this.#sending.send(() => abandonWalk(walk.id)))) go(vesselPath(this.vesselId))
  }
}
defineFor('helper', 'bw-set-up', SetUp)
