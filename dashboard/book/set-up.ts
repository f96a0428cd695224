import { html, LitElement, nothing, type PropertyValues } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { Usual, Walk } from '../../broker/web/api/books.ts'
import { line, list, problem, Sending } from '../forms/form.ts'
import { KnownLots, lotField, lotStyle } from '../forms/lot-field.ts'
import { request } from '../state/api.ts'
import { dropDraft, keepDraft, readDraft } from '../state/draft.ts'
import { go, vesselPath } from '../state/route.ts'
import { Tick, Watch } from '../state/watch.ts'
import { store } from '../state/store.ts'
import { shared } from '../style/shared.ts'
import { GOAL_WORDS, GOALS } from '../words/goal.ts'
import { lotToKeep } from '../words/lot-name.ts'
import { clashes, overElsewhere } from './elsewhere.ts'
import { FollowWalk, newerWalk, type WalkOver } from './follow-walk.ts'
import { noteStarted } from './just-started.ts'
import { cleaningDueOf } from './usual-words.ts'
import './own-recipes.ts'
import type { Step } from '../../broker/hatch/recipe/steps.ts'
import type { Preset } from '../../broker/web/api/books.ts'
import { setUpSteps } from './set-up-steps.ts'
import { tickedAsKey, waterNow } from './ticked-as.ts'
import { setUpStyle } from './set-up-style.ts'
import { amountsOf, goalOf, recipeOf, WISH_WORDS, wrongIn } from './set-up-wish.ts'
import {
  type Fields,
  keptByNow,
  NOTHING_UNSENT,
  openFields,
  sentFrom,
  settled,
  type SharedFields,
  typedHere,
  type Unsent,
  unsentOf,
} from './shared-fields.ts'
import { abandonWalk, beginWalk, doneAt, finishWalk, keepTyped, textsOf, tick } from './walk.ts'
import { walkStyle } from './walk-style.ts'

/** So long after the last key what was typed is sent, ms. */
const KEEP_AFTER_MS = 400
/** So long after it did not get through it is sent again, ms. */
const AGAIN_AFTER_MS = 3000

const draftKey = (id: string): string => `set-up.${id}`

const GOAL_OPTIONS = GOALS.map(goal => ({
  value: goal,
  text: `${GOAL_WORDS[goal].name}: ${GOAL_WORDS[goal].means}`,
}))

/** The set-up, walked: what goes in and in which order, each step with its amounts and a mark. The broker keeps every mark. */
export class SetUp extends LitElement {
  static override properties = {
    vesselId: { attribute: false },
    walk: { state: true },
    fields: { state: true },
    over: { state: true },
    failed: { state: true },
  }
  declare vesselId: string
  declare walk: Walk | null
  /** What is written, here and on other screens. */
  declare fields: SharedFields
  /** It was ended on another screen. */
  declare over: WalkOver | null
  declare failed: string
  readonly #sending = new Sending(this)
  readonly #lots = new KnownLots(this)
  readonly #vessels = new Watch(this, from => from.state.vessels)
  readonly #unit = new Watch(this, from => from.state.settings?.temperatureUnit ?? 'C')
  readonly #clock = new Tick(this, 30_000)
  #timer: ReturnType<typeof setTimeout> | undefined
  #isSending = false
  /** The step whose tick did not get through. */
  #failedAt: string | null = null
  /** One tick after another: the second of two quick ones waits. */
  #turn: Promise<void> = Promise.resolve()
  /** It is being ended here. */
  #leaving = false

  constructor() {
    super()
    this.vesselId = ''
    this.walk = null
    this.fields = openFields({}, NOTHING_UNSENT)
    this.over = null
    this.failed = ''
    new FollowWalk(this, {
      walk: () => this.walk,
      take: walk => this.#carriedOn(walk),
      over: end => (this.over = end),
    })
  }

  static override styles = [shared, lotStyle, walkStyle, setUpStyle]

  override willUpdate(changed: PropertyValues<this>): void {
    if (changed.has('vesselId') && this.vesselId !== '') void this.#begin()
  }
  override disconnectedCallback(): void {
    super.disconnectedCallback()
    if (this.#timer !== undefined) void this.#send()
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
    if (this.over !== null && !this.#leaving)
      return overElsewhere(vessel, this.fields.unsent.typed, {
        busy: this.#sending.busy,
        goOn: () => void this.#goOn(),
      })
    if (!walk) return html`<p class="page soft" role="status">Laying out what is needed…</p>`
    const wish = this.fields.shown
    const number = (name: 'litres' | 'cystsG' | 'salinityGpl') =>
      line(name, WISH_WORDS[name], this.#sending, {
        value: wish[name] ?? '',
        numeric: true,
        onInput: text => this.#typed({ [name]: text }),
      })
    return html`<div class="page">
      <h1>Set up ${vessel.name}</h1>
      ${wish['recipe'] ? html`<p>By your own recipe <strong>${wish['recipe']}</strong>.</p>` : nothing}
      <bw-own-recipes
        .vesselId=${vessel.id}
        .amounts=${amountsOf(wish)}
        @bw-recipe=${this.#take}
      ></bw-own-recipes>
      <form novalidate @submit=${this.#start}>
        <div class="amounts">
          ${clashes(this.fields, {
            take: part => this.#typed(part),
            leave: name => (this.fields = settled(this.fields, name)),
          })}
          <div class="pair">${number('litres')} ${number('salinityGpl')} ${number('cystsG')}</div>
          ${list('goal', 'Which food is wanted?', this.#sending, goalOf(wish), GOAL_OPTIONS, goal => this.#typed({ goal }))}
          ${lotField(this.#sending, this.#lots, wish['lot'] ?? '', lot => this.#typed({ lot }))}
        </div>
        <div class="follow">
          ${setUpSteps(walk, recipeOf(wish), {
            unit: this.#unit.value,
            nowMs: this.#clock.nowMs,
            water: waterNow(vessel.latest.waterC, this.#unit.value),
            tick: (step, box) => void this.#tick(step, box),
            failed: step => (step === this.#failedAt ? problem(this.#sending) : nothing),
          })}
          ${this.#failedAt === null ? problem(this.#sending) : nothing}
          <p class="not-yet" role="status" ?hidden=${doneAt(walk, 'cysts') === null}>
            <strong>The batch has not begun yet: start it here.</strong> It begins when the cysts went in.
          </p>
          <button class="start" ?disabled=${this.#sending.busy}>The cysts are in: start the batch</button>
          <button type="button" class="quiet" @click=${this.#giveUp}>Give this set-up up</button>
        </div>
      </form>
    </div>`
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
    this.over = null
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
      const unsent = unsentOf(readDraft<Unsent | Fields>(draftKey(walk.id), Date.now()))
      this.fields = openFields(textsOf(walk.draft), unsent)
      this.walk = walk
      this.#soon()
    } catch (error) {
      this.failed = error instanceof Error ? error.message : 'The set-up could not be begun.'
    }
  }

  /** It was ticked or written on, here or on another screen. */
  #carriedOn(walk: Walk): void {
    this.walk = newerWalk(this.walk, walk)
    // It is reached again.
    if (this.#failedAt !== null && !this.#sending.busy) this.#sending.corrected('')
    if (this.walk !== walk) return
    this.fields = keptByNow(this.fields, textsOf(walk.draft))
    this.#keepUnsent()
  }

  get #isUnsent(): boolean {
    return Object.keys(this.fields.unsent.typed).length > 0
  }

  #typed(part: Fields): void {
    this.fields = typedHere(this.fields, part)
    this.#keepUnsent()
    this.#soon()
  }

  /** On this screen at once, in case it is closed before the broker was told. */
  #keepUnsent(): void {
    const { walk, fields } = this
    if (!walk) return
    if (!this.#isUnsent) dropDraft(draftKey(walk.id))
    else keepDraft(draftKey(walk.id), fields.unsent, Date.now())
  }

  #soon(afterMs = KEEP_AFTER_MS): void {
    clearTimeout(this.#timer)
    this.#timer = setTimeout(() => void this.#send(), afterMs)
  }

  async #send(): Promise<void> {
    clearTimeout(this.#timer)
    this.#timer = undefined
    const { walk } = this
    const part = this.fields.unsent.typed
    // One after another, so that what comes back is told apart from what others write.
    if (!walk || this.over || this.#isSending || !this.#isUnsent) return
    this.#isSending = true
    this.fields = { ...this.fields, sending: part }
    try {
      const kept = await keepTyped(walk.id, part)
      this.fields = sentFrom(this.fields, part)
      this.#carriedOn(kept)
      this.#keepUnsent()
    } catch {
      // Out of reach it is tried again, and with the next key or tick.
      this.fields = { ...this.fields, sending: {} }
      if (this.isConnected) this.#soon(AGAIN_AFTER_MS)
      return
    } finally {
      this.#isSending = false
    }
    if (this.#isUnsent) this.#soon()
  }

  #tick(step: Step, box: HTMLInputElement): Promise<void> {
    const done = box.checked
    this.#turn = this.#turn.then(() => this.#tickNow(step, done, box))
    return this.#turn
  }

  async #tickNow({ id: step, words }: Step, done: boolean, box: HTMLInputElement): Promise<void> {
    const { walk } = this
    if (!walk) return
    this.#failedAt = step
    const kept = await this.#sending.send(async () => {
      const ticked = await tick(walk.id, step, done)
      this.#carriedOn(done ? await keepTyped(walk.id, { [tickedAsKey(step)]: words }) : ticked)
    })
    // A mark that was not kept is not shown either.
    if (!kept) box.checked = this.walk !== null && doneAt(this.walk, step) !== null
    else void this.#send()
    if (!kept || step !== 'cysts' || !done) return
    // With the cysts in, one thing is left: whoever stopped at the tick would have no batch.
    await this.updateComplete
    const start = this.renderRoot.querySelector<HTMLElement>('button.start')
    start?.scrollIntoView({ block: 'center' })
    start?.focus({ preventScroll: true })
  }

  readonly #start = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const { walk } = this
    const { shown } = this.fields
    const wrong = wrongIn(shown)
    this.#failedAt = null
    const amounts = amountsOf(shown)
    if (wrong.size > 0 || !walk || !amounts) return this.#sending.refuse(wrong)
    const lot = lotToKeep(shown['lot'] ?? '', this.#lots.names)
    const batch = { ...amounts, ...(lot === '' ? {} : { lot }) }
    clearTimeout(this.#timer)
    this.#timer = undefined
    const uncleaned = cleaningDueOf(store.state.reminders, walk.vesselId) !== null
    const start = async () =>
      noteStarted((await finishWalk(walk.id, { batch })).batchId, Date.now(), uncleaned)
    await this.#leave(walk, start)
  }

  readonly #giveUp = async (): Promise<void> => {
    const { walk } = this
    if (walk) await this.#leave(walk, () => abandonWalk(walk.id))
  }

  async #leave(walk: Walk, end: () => Promise<unknown>): Promise<void> {
    this.#failedAt = null
    this.#leaving = true
    const done = await this.#sending.send(end)
    this.#leaving = false
    if (!done) return this.requestUpdate()
    dropDraft(draftKey(walk.id))
    go(vesselPath(this.vesselId))
  }

  /** Given up on another screen: it is begun anew as it stood, with its ticks and when they were. */
  async #goOn(): Promise<void> {
    const before = this.walk
    const { shown } = this.fields
    if (!before) return
    await this.#sending.send(async () => {
      let walk = await beginWalk('set-up', this.vesselId, { ...before.draft, ...shown })
      for (const { step, at } of before.steps) walk = await tick(walk.id, step, true, at)
      dropDraft(draftKey(before.id))
      this.fields = openFields(textsOf(walk.draft), NOTHING_UNSENT)
      this.walk = walk
      this.over = null
    })
  }
}
defineFor('helper', 'bw-set-up', SetUp)
