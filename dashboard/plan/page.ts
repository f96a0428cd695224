import { html, LitElement, nothing } from 'lit'
import { repeat } from 'lit/directives/repeat.js'
import type { Cohort, Plan } from '../../broker/web/api/plan.ts'
import { justStarted } from '../book/just-started.ts'
import '../book/started.ts'
import { Sending } from '../forms/form.ts'
import { ApiError, request } from '../state/api.ts'
import { hasDraft } from '../state/draft.ts'
import { Frames, Tick, Watch } from '../state/watch.ts'
import { zone as ownZone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { moment, type Zone } from '../words/time.ts'
import './calendar.ts'
import type { Feedable } from './feed-parts.ts'
import './feed-form.ts'
import { fry } from './fry.ts'
import { given } from './given.ts'
import { gives } from './gives.ts'
import { halfTicked, halfTyped } from './half-done.ts'
import { otherZoneWords } from './other-zone.ts'
import './picture.ts'
import { PREFERENCES_DRAFT } from './preferences-form.ts'
import { planStyle } from './style.ts'
import { planTable } from './table.ts'
import type { Begun } from './start-button.ts'
import './start-button.ts'
import { changes, risks } from './told.ts'
import { nextOf, type ToDo, toDos } from './to-do.ts'
import { unticked } from './unticked.ts'
import { heldWords, namesOf, proofWords, spareWords, type Start, summary } from './words.ts'

const BEGUN = 'begun'
/** Stands in the list where a start was that is begun. */
const NOTICE: ToDo = {
  ...{ key: BEGUN, atMs: 0, kind: 'start', words: '', detail: '' },
  ...{ start: null, meal: null, lacks: false, night: false },
}
/** What to start when, so that every feeding is met. */
export class PlanView extends LitElement {
  static override properties = {
    plan: { state: true },
    failed: { state: true },
    open: { state: true },
    feeding: { state: true },
    said: { state: true },
    begun: { state: true },
  }
  declare plan: Plan | null
  declare failed: string
  /** The group of fry whose form is open; `new` for one that is not there yet. */
  declare open: string | null
  /** The feeding that is being ticked off, by its id. */
  declare feeding: string | null
  declare said: string
  /** What was begun here, and where in the list: what comes after it stays where it is. */
  declare begun: (Begun & { readonly at: number }) | null
  readonly #vessels = new Watch(this, from => from.state.vessels)
  readonly #tick = new Tick(this, 30_000)
  readonly #takingBack = new Sending(this)
  readonly #dropping = new Sending(this)
  /** How the person works was half typed when the page closed. */
  readonly #preferring = hasDraft(PREFERENCES_DRAFT)
  #asking = false
  #askAgain = false

  constructor() {
    super()
    this.plan = null
    this.failed = ''
    this.open = null
    this.feeding = null
    this.said = ''
    this.begun = null
    new Frames(this, ({ planned, fresh }) => {
      if (planned || fresh) void this.#ask()
    })
  }
  static override styles = [shared, planStyle]

  override connectedCallback(): void {
    super.connectedCallback()
    void this.#ask()
  }

  async #ask(): Promise<void> {
    // What is being answered may not know yet of what was done meanwhile.
    this.#askAgain = this.#asking
    if (this.#asking) return
    this.#asking = true
    try {
      do {
        this.#askAgain = false
        const plan = await request<Plan>('GET', '/plan')
        if (!this.plan) {
          this.feeding = halfTicked(plan)
          this.open = halfTyped(plan)
        }
        // What was begun in the form of an empty plan stays open once a group is there.
        if (this.plan?.cohorts.length === 0) this.open ??= halfTyped(plan)
        this.plan = plan
        this.failed = ''
      } while (this.#askAgain)
    } catch (error) {
      if (error instanceof ApiError) this.failed = error.message
    } finally {
      this.#asking = false
    }
  }

  override render() {
    const { plan } = this
    if (!plan)
      return html`<div class="page">
        <h1>Feeding plan</h1>
        ${this.failed ? html`<p class="failed" role="alert">${this.failed}</p>` : html`<p class="soft">Working it out…</p>`}
      </div>`
    const nowMs = this.#tick.nowMs
    const zone: Zone = { locale: ownZone.locale, timeZone: plan.preferences.zone }
    const elsewhere = otherZoneWords(zone, ownZone, nowMs, Date.parse(plan.until))
    const names = namesOf(plan)
    const all = toDos(plan, names, { nowMs, zone })
    return html`<div class="page">
      <section>
        <h1>Feeding plan</h1>
        <p class="summary">${summary(plan, nowMs, zone)}</p>
        ${elsewhere === '' ? nothing : html`<p class="zone">${elsewhere}</p>`}
        ${spareWords(plan) === '' ? nothing : html`<p class="soft">${spareWords(plan)}</p>`}
        ${this.failed ? html`<p class="failed" role="alert">${this.failed}</p>` : nothing}
        <p class="hidden" role="status">${this.said}</p>
      </section>
      ${risks(plan, nowMs, zone)}
      ${unticked(plan, nowMs, zone, (meal, words) => this.#tickOff(meal, words, true))}
      ${all.length > 0 ? this.#next(nextOf(all), nowMs, zone) : nothing}
      ${
        all.length > 0
          ? html`<section aria-label="The plan as a picture">
              <bw-plan-picture .plan=${plan} .nowMs=${nowMs}></bw-plan-picture>
              <p class="soft">
                Opening shapes are batches on their way, orange is ready to feed; a full plate is a feeding
                that is met. ${proofWords(plan)}
              </p>
              <details>
                <summary>All of it as a table</summary>
                ${planTable(all, nowMs, zone)}
              </details>
              ${changes(plan, nowMs, zone)} ${gives(plan)}
            </section>`
          : nothing
      }
      ${fry(plan, {
        ...{ nowMs, zone, open: this.open, dropping: this.#dropping },
        openUp: which => (this.open = which),
        drop: cohort => void this.#drop(cohort),
        kept: this.#kept,
        closed: this.#closed,
      })}
      <section>
        <details ?open=${this.#preferring}>
          <summary><h2>How you work</h2></summary>
          <bw-plan-preferences .preferences=${plan.preferences} @kept=${this.#kept}></bw-plan-preferences>
        </details>
        <details>
          <summary><h2>In your calendar</h2></summary>
          <bw-plan-calendar .inUse=${plan.calendar}></bw-plan-calendar>
        </details>
      </section>
    </div>`
  }

  #next(next: readonly ToDo[], nowMs: number, zone: Zone) {
    return html`<section aria-label="Next">
      <h2>Next</h2>
      <ul class="next" @begun=${(event: CustomEvent<Begun>) => this.#began(event, next)}>
        ${repeat(
          this.#withBegun(next),
          ({ key }) => key,
          ({ key, atMs, words, detail, start, meal, night, lacks }) => {
            if (key === BEGUN) return this.#notice(zone)
            return html`<li>
              <time datetime=${new Date(atMs).toISOString()}>${moment(atMs, nowMs, zone)}</time>
              <span class="what"
                ><strong>${words}</strong>
                <span class="soft">${lacks ? '✕ ' : ''}${detail}</span>
                ${night ? html`<span class="night">At night</span>` : nothing}</span
              >
              ${start ? this.#start(start, words, nowMs) : nothing}
              ${meal ? this.#tickOff(meal, words) : nothing}
            </li>`
          },
        )}
      </ul>
      ${this.#soFar(nowMs, zone)}
    </section>`
  }

  #soFar(nowMs: number, zone: Zone) {
    const { plan } = this
    if (!plan) return nothing
    const takeBack = (id: string, words: string) => void this.#takeBack(id, words)
    return html`<p>${heldWords(plan, nowMs, zone)}</p>
      ${given(plan, nowMs, zone, this.#takingBack, takeBack)}`
  }

  #tickOff(meal: Feedable, words: string, passed = false) {
    if (this.feeding === meal.id)
      return html`<bw-feed-form
        class="act"
        .plan=${this.plan}
        .meal=${meal}
        ?passed=${passed}
        @kept=${this.#kept}
        @closed=${this.#closed}
      ></bw-feed-form>`
    return html`<button class="act quiet" @click=${() => (this.feeding = meal.id)}>
      Tick off<span class="hidden">: ${words}</span>
    </button>`
  }

  #start(start: Start, words: string, nowMs: number) {
    const { plan } = this
    if (plan?.running.some(({ vesselId }) => vesselId === start.vesselId))
      return html`<p class="act soft">After ${namesOf(plan).vessel(start.vesselId)} is emptied</p>`
    return html`<bw-plan-start class="act" .start=${start} .words=${words} .nowMs=${nowMs}></bw-plan-start>`
  }

  #began({ detail }: CustomEvent<Begun>, next: readonly ToDo[]): void {
    const at = next.findIndex(({ start }) => start?.id === detail.startId)
    this.begun = { ...detail, at: Math.max(0, at) }
    void this.#ask()
  }

  /** The notice of what was begun takes the place of its entry, with a way back, for as long as there is one. */
  #withBegun(next: readonly ToDo[]): readonly ToDo[] {
    const { begun } = this
    if (!begun || !justStarted(begun.batchId, Date.now())) return next
    // Until the plan knows of it, its entry is still there.
    const others = next.filter(({ start }) => start?.id !== begun.startId)
    return [...others.slice(0, begun.at), NOTICE, ...others.slice(begun.at)]
  }

  #notice(zone: Zone) {
    const vessel = this.#vessels.value.get(this.begun?.vesselId ?? '')
    return html`<li class="begun"><bw-started .vessel=${vessel ?? null} .zone=${zone}></bw-started></li>`
  }

  async #takeBack(id: string, words: string): Promise<void> {
    if (await this.#takingBack.send(() => request('POST', `/feedings/${encodeURIComponent(id)}/withdraw`)))
      this.said = `Taken back: ${words}.`
    await this.#ask()
  }

  async #drop(cohort: Cohort): Promise<void> {
    const gone = await this.#dropping.send(() =>
      request('DELETE', `/cohorts/${encodeURIComponent(cohort.id)}`),
    )
    if (gone) this.said = `${cohort.name} is no longer planned for.`
    await this.#ask()
  }

  readonly #kept = (): void => {
    this.open = null
    this.feeding = null
    this.said = 'Saved. The plan follows.'
    void this.#ask()
  }
  readonly #closed = (): void => {
    this.open = null
    this.feeding = null
  }
}
customElements.define('bw-plan', PlanView)
