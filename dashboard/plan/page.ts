import { html, LitElement, nothing } from 'lit'
import { repeat } from 'lit/directives/repeat.js'
import type { Cohort, Plan } from '../../broker/web/api/plan.ts'
import { justStarted } from '../book/just-started.ts'
import '../book/started.ts'
import { problem, Sending } from '../forms/form.ts'
import { ApiError, request } from '../state/api.ts'
import { hasDraft } from '../state/draft.ts'
import { Frames, Tick, Watch } from '../state/watch.ts'
import { zone as ownZone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { moment, timeOfDay, type Zone } from '../words/time.ts'
import './calendar.ts'
import './cohort-form.ts'
import type { Feedable } from './feed-parts.ts'
import './feed-form.ts'
import { gives } from './gives.ts'
import { halfTicked, halfTyped } from './half-done.ts'
import './picture.ts'
import { PREFERENCES_DRAFT } from './preferences-form.ts'
import { planStyle } from './style.ts'
import { planTable } from './table.ts'
import type { Begun } from './start-button.ts'
import './start-button.ts'
import { changes, risks } from './told.ts'
import { nextOf, type ToDo, toDos } from './to-do.ts'
import {
  exactly,
  feedWords,
  givenFrom,
  heldWords,
  lateWords,
  namesOf,
  proofWords,
  dueWords,
  spareWords,
  type Start,
  summary,
} from './words.ts'

const BEGUN = 'begun'
/** Stands in the list where a start was that is begun. */
const NOTICE: ToDo = {
  ...{ key: BEGUN, atMs: 0, kind: 'start', words: '', detail: '' },
  ...{ start: null, meal: null, lacks: false, night: false },
}
/** A feeding that nobody ticked off for so long may have been missed. Own choice. */
const MISSED_AFTER_MS = 3_600_000

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
    const names = namesOf(plan)
    const all = toDos(plan, names, { nowMs, zone })
    return html`<div class="page">
      <section>
        <h1>Feeding plan</h1>
        <p class="summary">${summary(plan, nowMs, zone)}</p>
        ${spareWords(plan) === '' ? nothing : html`<p class="soft">${spareWords(plan)}</p>`}
        ${this.failed ? html`<p class="failed" role="alert">${this.failed}</p>` : nothing}
        <p class="hidden" role="status">${this.said}</p>
      </section>
      ${risks(plan, nowMs, zone)} ${this.#unticked(plan, nowMs, zone)}
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
      ${this.#fry(plan, zone)}
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
            if (key === BEGUN) return this.#notice()
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
      ${this.plan ? html`<p>${heldWords(this.plan, nowMs, zone)}</p>` : nothing} ${this.#fed(nowMs, zone)}
    </section>`
  }

  /** Feedings whose time has come: given and not ticked off, or missed. */
  #unticked(plan: Plan, nowMs: number, zone: Zone) {
    if (plan.open.length === 0) return nothing
    const names = namesOf(plan)
    return html`<section aria-label="Not ticked off">
      <h2>Not ticked off</h2>
      <ul class="next">
        ${plan.open.map(meal => {
          const words = feedWords(meal, plan, names)
          const missed = nowMs - Date.parse(meal.at) > MISSED_AFTER_MS
          const planned = plan.meals.find(({ id }) => id === meal.id)
          return html`<li>
            <time datetime=${meal.at}>${moment(Date.parse(meal.at), nowMs, zone)}</time>
            <span class="what"
              ><strong>${words}</strong>
              <span class=${missed ? 'night' : 'soft'}
                >${missed ? 'Missed? Nobody ticked it off.' : 'It is time.'}</span
              >
              <span>${lateWords(meal, planned, plan, names, nowMs, zone)}</span></span
            >
            ${this.#tickOff(planned ? { ...meal, servings: planned.servings } : meal, words, true)}
          </li>`
        })}
      </ul>
    </section>`
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

  #fed(nowMs: number, zone: Zone) {
    const { plan } = this
    if (!plan || plan.fed.length === 0) return nothing
    const names = namesOf(plan)
    return html`<details>
      <summary>Given so far: ${plan.fed.filter(({ withdrawnAt }) => withdrawnAt === null).length}</summary>
      ${problem(this.#takingBack)}
      <ul class="fed">
        ${plan.fed.toReversed().map(each => {
          const many =
            each.nauplii === null
              ? ''
              : each.nauplii === 0
                ? ': not given'
                : `: ${exactly(each.nauplii)} nauplii${givenFrom(each, names)}`
          const words = `${moment(Date.parse(each.at), nowMs, zone)} ${names.cohort(each.cohortId)}${many}`
          if (each.withdrawnAt !== null) return html`<li class="soft"><del>${words}</del> taken back</li>`
          return html`<li>
            <span>${words} <span class="soft">· ${each.by}</span></span>
            <button class="quiet" @click=${() => void this.#takeBack(each.id, words)}>
              Take back<span class="hidden">: ${words}</span>
            </button>
          </li>`
        })}
      </ul>
    </details>`
  }

  #fry(plan: Plan, zone: Zone) {
    return html`<section>
      <h2>Fry</h2>
      ${problem(this.#dropping)}
      ${
        plan.cohorts.length > 0
          ? html`<ul class="fry">
              ${plan.cohorts.map(cohort => this.#cohort(cohort, zone))}
            </ul>`
          : nothing
      }
      ${
        this.open === 'new' || plan.cohorts.length === 0
          ? html`<bw-cohort-form @kept=${this.#kept} @closed=${this.#closed}></bw-cohort-form>`
          : html`<div class="row">
              <button class="quiet" @click=${() => (this.open = 'new')}>Add fry</button>
            </div>`
      }
    </section>`
  }

  #cohort(cohort: Cohort, zone: Zone) {
    const age = Math.max(0, Math.floor((this.#tick.nowMs - Date.parse(cohort.born)) / 86_400_000))
    const now = cohort.ration.findLast(({ fromDay }) => fromDay <= age)
    const food =
      cohort.food.kind === 'instar-1'
        ? 'only the smallest nauplii'
        : `nauplii up to ${cohort.food.hours} h old, hours in the cold not counted`
    return html`<li>
      <h3>${cohort.name}</h3>
      <p>
        ${cohort.fry.toLocaleString('en-US')} ${cohort.species || 'fry'}, ${age} days old:
        ${dueWords(cohort.fry * (now?.naupliiPerFry ?? 0))} nauplii a day, ${food}, at
        ${cohort.times.map(time => timeOfDay(time, zone)).join(' and ')}.
      </p>
      ${
        this.open === cohort.id
          ? html`<bw-cohort-form
              .cohort=${cohort}
              @kept=${this.#kept}
              @closed=${this.#closed}
            ></bw-cohort-form>`
          : html`<div class="row">
              <button class="quiet" @click=${() => (this.open = cohort.id)}>
                Change<span class="hidden"> ${cohort.name}</span>
              </button>
              <button class="quiet" @click=${() => void this.#drop(cohort)}>
                Feed no more<span class="hidden">: ${cohort.name}</span>
              </button>
            </div>`
      }
    </li>`
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

  #notice() {
    const vessel = this.#vessels.value.get(this.begun?.vesselId ?? '')
    return html`<li class="begun"><bw-started .vessel=${vessel ?? null}></bw-started></li>`
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
