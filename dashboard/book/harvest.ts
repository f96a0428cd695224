import { html, LitElement, nothing, type PropertyValues } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { Walk } from '../../broker/web/api/books.ts'
import type { BatchEvent } from '../../broker/web/api/events.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import { harvestCounts } from '../batch/harvest-estimate.ts'
import { problem, Sending } from '../forms/form.ts'
import { keptCount } from '../forms/kept-count.ts'
import { BatchLog } from '../state/batch-log.ts'
import { go, vesselPath } from '../state/route.ts'
import { Tick, Watch } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { againstFirst } from '../words/against-first.ts'
import { standingFirst } from '../words/seen.ts'
import { moment } from '../words/time.ts'
import { tooSoonText } from '../words/too-soon.ts'
import { countDown, endQuestions, rightOne, withoutCount } from './harvest-asks.ts'
import { FollowWalk, newerWalk } from './follow-walk.ts'
import { HarvestCounted } from './harvest-counted.ts'
import { harvestEnd } from './harvest-end.ts'
import { harvestOver, unsavedCount } from './harvest-over.ts'
import type { Harvested } from './harvest-summary.ts'
import { notTicked, STEPS, type StepId } from './harvest-steps.ts'
import { harvestStyle } from './harvest-style.ts'
import { leftQuestion, shareLeft } from './harvest-words.ts'
import { type Counting, type Within, withinCount, withinShare, withinTaken } from './harvest-within.ts'
import { abandonWalk, beginWalk, doneAt, finishWalk, tick, walkOf } from './walk.ts'
import { walkStyle } from './walk-style.ts'

/** The harvest, walked, with its countdown, its count and what becomes of the nauplii. The broker keeps every mark. */
export class Harvest extends LitElement {
  static override properties = {
    vesselId: { attribute: false },
    walk: { state: true },
    over: { state: true },
    counting: { state: true },
    failed: { state: true },
    doubt: { state: true },
    asking: { state: true },
    uncounted: { state: true },
    done: { state: true },
  }
  declare vesselId: string
  declare walk: Walk | null
  /** Ended on another screen while its batch goes on. */
  declare over: boolean
  declare counting: Counting
  declare failed: string
  /** Why it can hardly be the right batch; empty once it was said to be. */
  declare doubt: string
  /** What is left, or not ticked, was asked for before the end. */
  declare asking: boolean
  /** The step of a count that was ticked while there is none. */
  declare uncounted: StepId | null
  /** What it gave, once the batch was ended here. */
  declare done: Harvested | null
  readonly #sending = new Sending(this)
  readonly #vessels = new Watch(this, from => from.state.vessels)
  readonly #log = new BatchLog(this)
  readonly #clock = new Tick(this, 1000)
  readonly #counted = new HarvestCounted(this)
  /** Told to end the batch. */
  #ending = false
  /** The walk is being ended here. */
  #leaving = false
  /** The step whose tick did not get through. */
  #failedAt: StepId | null = null
  /** One tick after another: the second of two quick ones waits. */
  #turn: Promise<void> = Promise.resolve()
  /** The batch whose half-made count was looked for. */
  #lookedAt = ''

  constructor() {
    super()
    this.vesselId = ''
    this.walk = null
    this.over = false
    this.counting = null
    this.failed = ''
    this.doubt = ''
    this.asking = false
    this.uncounted = null
    this.done = null
    new FollowWalk(this, {
      walk: () => this.walk,
      take: walk => {
        this.walk = newerWalk(this.walk, walk)
        // It is reached again.
        if (this.#failedAt !== null) this.#sending.corrected('')
      },
      over: () => (this.over = true),
    })
  }

  static override styles = [shared, walkStyle, harvestStyle]

  override willUpdate(changed: PropertyValues<this>): void {
    if (changed.has('vesselId') && this.vesselId !== '') void this.#begin()
    const batch = this.#vessels.value.get(this.vesselId)?.batch ?? null
    this.#log.follow(batch?.id ?? null)
    this.#bringBack(batch)
    this.#counted.follow(this.#log.events, batch)
  }

  override render() {
    const vessel = this.#vessels.value.get(this.vesselId)
    if (!vessel)
      return html`<p class="page">There is no such vessel any more. <a href="/">Back to the room</a></p>`
    const { walk } = this
    const { batch } = vessel
    if (this.done) return harvestEnd(this.done, vessel, this.#clock.nowMs)
    // The room tells of the end before the answer to the button is here.
    if (this.#ending && !batch) return html`<p class="page soft" role="status">The batch has ended…</p>`
    const isOver = walk !== null && (this.over || (walk.batchId !== null && walk.batchId !== batch?.id))
    if (isOver && !this.#leaving && this.failed === '')
      return harvestOver(
        vessel,
        walk.batchId ?? '',
        walk.batchId === null ? '' : unsavedCount(walk.batchId, Date.now()),
        () => void this.#begin(),
      )
    if (this.failed !== '' || !batch)
      return html`<div class="page">
        <p role="status">${this.failed || `${vessel.name} has no batch to harvest.`}</p>
        <a href=${vesselPath(vessel.id)}>Back to ${vessel.name}</a>
      </div>`
    if (this.doubt !== '') return rightOne(vessel, this.doubt, () => void this.#begin(true))
    if (!walk) return html`<p class="page soft" role="status">Getting the net…</p>`
    // Once the air is off, nothing of the vessel can be sampled stirred.
    const next = STEPS.find(
      ({ id }) => doneAt(walk, id) === null && (id !== 'share' || doneAt(walk, 'air-off') === null),
    )
    const open = notTicked(id => doneAt(walk, id) !== null)
    const first = standingFirst(this.#log.events)
    const against = againstFirst(this.#log.events, batch, first)
    const unsaved = unsavedCount(batch.id, Date.now())
    const question = leftQuestion(
      shareLeft(this.#log.events, this.#clock.nowMs),
      this.#counted.result?.nauplii.best ?? null,
    )
    return html`<div class="page">
      <h1>Harvest ${vessel.name}</h1>
      <ol class="walk" aria-label="Steps" @bw-seen=${this.#seen} @bw-close=${this.#closed}>
        ${STEPS.map(({ id, words }) => this.#step(walk, vessel, batch, id, words, id === next?.id))}
      </ol>
      ${against === '' ? nothing : html`<p class="result">First swimmers at ${moment(Date.parse(first?.at ?? ''), this.#clock.nowMs, zone)}. ${against} <a href=${vesselPath(vessel.id)}>${vessel.name}</a></p>`}
      ${this.#failedAt === null ? problem(this.#sending) : nothing}
      <div class="finish">
        ${
          this.asking && question + open.words + unsaved !== ''
            ? endQuestions(open, question, unsaved, this.#sending.busy, {
                toStep: id => this.#toStep(id),
                toTaken: () => this.#toTaken(),
                toCount: () => this.#toCount(batch),
                end: () => void this.#finish(true),
              })
            : html`<button
                class=${question + open.words + unsaved === '' ? '' : 'quiet'}
                ?disabled=${this.#sending.busy}
                @click=${() => void this.#end(question + open.words + unsaved)}
              >
                Harvested: end the batch
              </button>`
        }
        <button class="quiet" ?disabled=${this.#sending.busy} @click=${() => void this.#finish(false)}>
          Air on again: the batch goes on
        </button>
        <button class="quiet" ?disabled=${this.#sending.busy} @click=${() => void this.#giveUp()}>
          Leave the walk
        </button>
      </div>
    </div>`
  }

  #step(walk: Walk, vessel: Vessel, batch: Batch, id: StepId, words: string, isNext: boolean) {
    const at = doneAt(walk, id)
    const within: Within = {
      ...{ vessel, batch, counted: this.#counted, counting: this.counting },
      count: which => (this.counting = which),
    }
    return html`<li class=${at ? 'done' : isNext ? 'next' : ''}>
      <label class="step">
        <input
          type="checkbox"
          .checked=${at !== null}
          data-step=${id}
          @change=${(event: Event) => this.#ticked(id, event.target as HTMLInputElement)}
        />
        <span class="what"
          >${words}
          ${at ? html`<span class="when">done ${moment(Date.parse(at), this.#clock.nowMs, zone)}</span>` : nothing}</span
        >
      </label>
      ${this.#failedAt === id ? problem(this.#sending) : nothing}
      ${this.uncounted === id && at === null ? withoutCount(() => this.#uncounted(id)) : nothing}
      ${id === 'settled' && at === null ? countDown(walk, this.#clock.nowMs) : nothing}
      ${id === 'share' ? withinShare(within, doneAt(walk, 'air-off') !== null) : nothing}
      ${id === 'count' ? withinCount(within) : nothing}
      ${id === 'taken' ? withinTaken(within, this.#log.events, this.#clock.nowMs) : nothing}
    </li>`
  }

  /** A count that is not there is not ticked off by the way. */
  #ticked(id: StepId, box: HTMLInputElement): void {
    const isCount = id === 'count' || id === 'share'
    if (!box.checked || !isCount || harvestCounts(this.#log.events)) return void this.#tick(id, box.checked)
    box.checked = false
    this.uncounted = id
  }

  #uncounted(id: StepId): void {
    this.uncounted = null
    void this.#tick(id, true)
  }

  #toStep(id: StepId): void {
    this.asking = false
    const box = this.renderRoot.querySelector<HTMLElement>(`input[data-step="${id}"]`)
    box?.scrollIntoView({ block: 'center' })
    box?.focus({ preventScroll: true })
  }

  readonly #seen = (event: CustomEvent<BatchEvent>): void => {
    this.#log.take(event.detail)
    const step =
      event.detail.kind === 'count'
        ? (this.counting ?? 'count')
        : event.detail.kind === 'taken'
          ? 'taken'
          : null
    if (step === null) return
    if (event.detail.kind === 'count') this.counting = null
    if (this.walk && doneAt(this.walk, step) === null) void this.#tick(step, true)
  }
  readonly #closed = (): void => {
    this.counting = null
  }

  /** A count that was half made when the page closed stands open again. */
  #bringBack(batch: Batch | null): void {
    if (!batch || batch.id === this.#lookedAt) return
    this.#lookedAt = batch.id
    if (keptCount(batch, Date.now()) !== '') this.counting = 'count'
    else if (keptCount(batch, Date.now(), true) !== '') this.counting = 'share'
  }

  #toCount(batch: Batch): void {
    this.counting = keptCount(batch, Date.now()) === '' ? 'share' : 'count'
    this.#toStep(this.counting)
  }

  /** `surely`: it was asked whether this is the right batch. */
  async #begin(surely = false): Promise<void> {
    const { vesselId } = this
    const { batch = null, forecast = null } = this.#vessels.value.get(vesselId) ?? {}
    const doubt = batch && !surely ? tooSoonText(batch, forecast, this.#clock.nowMs) : ''
    this.walk = null
    this.over = false
    this.failed = ''
    this.doubt = ''
    this.#sending.corrected('')
    try {
      // What is under way was asked about when it was begun.
      if (doubt !== '' && !(await walkOf('harvest', vesselId))) {
        if (vesselId === this.vesselId) this.doubt = doubt
        return
      }
      const walk = await beginWalk('harvest', vesselId)
      if (vesselId === this.vesselId) this.walk = walk
    } catch (error) {
      this.failed = error instanceof Error ? error.message : 'The harvest could not be begun.'
    }
  }

  #tick(step: StepId, done: boolean): Promise<void> {
    this.#turn = this.#turn.then(() => this.#tickNow(step, done))
    return this.#turn
  }

  async #tickNow(step: StepId, done: boolean): Promise<void> {
    const { walk } = this
    if (!walk) return
    this.#failedAt = step
    const kept = await this.#sending.send(async () => {
      this.walk = newerWalk(this.walk, await tick(walk.id, step, done))
    })
    // A mark that was not kept is not shown either.
    const box = this.renderRoot.querySelector<HTMLInputElement>(`input[data-step="${step}"]`)
    if (!kept && box) box.checked = this.walk !== null && doneAt(this.walk, step) !== null
  }

  /** What is not written down is asked for once; nobody is held up by it. */
  async #end(question: string): Promise<void> {
    if (question === '') return this.#finish(true)
    this.asking = true
    await this.updateComplete
    this.renderRoot.querySelector<HTMLElement>('#left')?.focus()
  }
  #toTaken(): void {
    const form = this.renderRoot.querySelector('bw-taken')
    form?.scrollIntoView({ block: 'center' })
    form?.shadowRoot?.querySelector<HTMLElement>('input')?.focus({ preventScroll: true })
  }

  async #finish(endBatch: boolean): Promise<void> {
    const { walk } = this
    if (!walk) return
    this.#ending = endBatch
    const vessel = this.#vessels.value.get(this.vesselId)
    const harvested =
      endBatch && vessel?.batch ? await this.#counted.harvested(vessel, vessel.batch, this.#log.events) : null
    this.#failedAt = null
    this.#leaving = true
    const done = await this.#sending.send(async () => {
      if (!endBatch && doneAt(walk, 'air-off') !== null) await tick(walk.id, 'air-on', true)
      await finishWalk(walk.id, endBatch ? { endBatch, note: 'harvested' } : { endBatch })
    })
    this.#leaving = false
    if (!done) this.#ending = false
    else if (harvested) {
      this.done = harvested
      await this.updateComplete
      window.scrollTo({ top: 0 })
      this.renderRoot.querySelector<HTMLElement>('h1')?.focus({ preventScroll: true })
    } else go(vesselPath(this.vesselId))
  }

  async #giveUp(): Promise<void> {
    const { walk } = this
    if (!walk) return
    this.#failedAt = null
    this.#leaving = true
    const done = await this.#sending.send(() => abandonWalk(walk.id))
    this.#leaving = false
    if (done) go(vesselPath(this.vesselId))
    else this.requestUpdate()
  }
}
defineFor('helper', 'bw-harvest', Harvest)
