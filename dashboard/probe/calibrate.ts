import { html, LitElement, nothing } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type {
  Calibration,
  CalibrationMade,
  NewCalibration,
  ProbeLook,
} from '../../broker/web/api/calibrations.ts'
import { fieldText, problem, readNumber, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { dropDraft, FormDraft, keepDraft, readDraft } from '../state/draft.ts'
import { vesselPath } from '../state/route.ts'
import { Tick, Watch } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import {
  calibrationLine,
  fineTemperature,
  earlierWords,
  foundWords,
  restWords,
  sureWords,
  surerWords,
  takenBackWords,
  fineDifference,
} from '../words/calibration.ts'
import { type TemperatureUnit, toC } from '../words/temperature.ts'
import { moment } from '../words/time.ts'
import { holdForm, type Reference } from './hold-form.ts'
import { calibrateStyle } from './style.ts'
import { takeBackQuestion } from './take-back.ts'

const ASK_EVERY_MS = 2000
type Point = NewCalibration['points'][number] & { readonly shownC: number }

/** Where the points that were taken so far are kept. */
const pointsDraft = (probe: string): string => `calibrate.points.${probe}`

/** Sets a probe right: in ice, against a thermometer, or both, one step after the other. */
export class Calibrate extends LitElement {
  static override properties = {
    probe: { attribute: false },
    look: { state: true },
    lost: { state: true },
    holding: { state: true },
    points: { state: true },
    made: { state: true },
    kept: { state: true },
    history: { state: true },
    asked: { state: true },
  }
  /** `device/channel`. */
  declare probe: string
  declare look: ProbeLook | null
  declare lost: boolean
  /** What the probe is held against at the moment. */
  declare holding: Reference | null
  declare points: readonly Point[]
  declare made: CalibrationMade | null
  declare kept: Calibration | null
  declare history: readonly Calibration[]
  /** It was asked whether to take this one back, and nobody has answered. */
  declare asked: string | null
  readonly #settings = new Watch(this, store => store.state.settings)
  readonly #vessels = new Watch(this, store => store.state.vessels)
  readonly #tick = new Tick(this, 20_000)
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () =>
    this.holding === 'thermometer' ? `calibrate.${this.probe}` : null,
  )
  #timer: ReturnType<typeof setInterval> | undefined

  constructor() {
    super()
    this.probe = ''
    this.look = null
    this.lost = false
    this.holding = null
    this.points = []
    this.made = null
    this.kept = null
    this.history = []
    this.asked = null
  }

  static override styles = [shared, calibrateStyle]

  override connectedCallback(): void {
    super.connectedCallback()
    this.#timer = setInterval(() => void this.#ask(), ASK_EVERY_MS)
    void this.updateComplete.then(() => Promise.all([this.#ask(), this.#recall(), this.#takeUp()]))
  }
  override disconnectedCallback(): void {
    super.disconnectedCallback()
    clearInterval(this.#timer)
  }

  override render() {
    const settings = this.#settings.value
    if (!settings) return nothing
    const unit = settings.temperatureUnit
    const vessel = this.look?.assignedTo ? this.#vessels.value.get(this.look.assignedTo.vesselId) : undefined
    return html`<div class="page">
      <section>
        <h1 tabindex="-1">Calibrate ${this.probe}</h1>
        <p>
          ${vessel ? html`It is on <a href=${vesselPath(vessel.id)}>${vessel.name}</a>. ` : 'It is on no vessel. '}
          A probe may be off by half a degree from the start. What it measures stays as it is; what is shown
          and judged is set right from the moment you finish.
        </p>
        ${
          vessel?.batch
            ? html`<p>
                  <strong>A batch is in ${vessel.name}.</strong> While its probe is out, nobody watches its
                  warmth: better wait until it is harvested.
                </p>
                ${this.#hush(vessel.id, vessel.suppression !== null)}`
            : nothing
        }
        ${this.#live(unit)}
      </section>
      <section>${this.kept ? this.#done(this.kept, unit) : this.#step(unit)}</section>
      ${this.#past(unit)}
    </div>`
  }

  #hush(vesselId: string, isHushed: boolean) {
    return isHushed
      ? html`<p role="status">Its probe calls nobody while you work. Heat is called all the same.</p>`
      : html`<div class="row">
          <button
            class="quiet"
            ?disabled=${this.#sending.busy}
            @click=${() =>
              this.#sending.send(() =>
                request('POST', `/vessels/${encodeURIComponent(vesselId)}/suppress`, {
                  reason: 'calibration',
                  minutes: 45,
                }),
              )}
          >
            Go on: hush its probe for 45 min
          </button>
        </div>`
  }

  #live(unit: TemperatureUnit) {
    const { look } = this
    if (this.lost)
      return html`<p class="failed" role="alert">The probe cannot be looked at now. Trying again.</p>`
    if (!look) return html`<p class="soft">Looking at the probe…</p>`
    const value = look.newest?.value ?? null
    return html`<div class="live ${look.rest?.steady ? 'rest' : ''}">
      <span class="soft">It shows, as measured</span>
      <strong>${value === null ? 'nothing' : fineTemperature(value, unit)}</strong>
      <p>${restWords(look.rest, unit)}</p>
    </div>`
  }

  #step(unit: TemperatureUnit) {
    const { holding, points, made } = this
    if (holding)
      return holdForm(holding, unit, this.look?.rest?.steady ?? false, this.#sending, {
        take: event => void this.#take(event),
        back: () => {
          this.#draft.drop()
          this.holding = null
        },
      })
    const has = (reference: Reference) => points.some(point => point.reference === reference)
    return html`
      ${points.length === 0 ? html`<h2>What do you hold it against?</h2>` : html`<h2>Taken</h2>`}
      ${points.length > 0 ? this.#taken(unit) : nothing}
      ${made ? html`<p role="status">${foundWords(made, unit)} ${sureWords(made, unit)}. ${surerWords(made)}</p>` : nothing}
      ${problem(this.#sending)}
      <div class="row">
        ${made ? html`<button ?disabled=${this.#sending.busy} @click=${() => void this.#keep()}>Set it right from now on</button>` : nothing}
        ${
          has('ice')
            ? nothing
            : html`<button class=${made ? 'quiet' : ''} @click=${() => this.#begin('ice')}>
                Melting ice
              </button>`
        }
        ${
          points.length >= 4
            ? nothing
            : html`<button class=${made ? 'quiet' : ''} @click=${() => this.#begin('thermometer')}>
                ${has('thermometer') ? 'A thermometer again' : 'A thermometer that I trust'}
              </button>`
        }
        ${points.length > 0 ? html`<button class="quiet" @click=${() => this.#anew()}>Start again</button>` : nothing}
      </div>
    `
  }

  #taken(unit: TemperatureUnit) {
    return html`<ul class="lines">
      ${this.points.map(
        ({ reference, referenceC = 0, shownC }) =>
          html`<li>
            <span
              >${reference === 'ice' ? 'Melting ice' : 'Thermometer'}:
              ${fineTemperature(referenceC, unit)}</span
            >
            <span>the probe showed <strong>${fineTemperature(shownC, unit)}</strong></span>
          </li>`,
      )}
    </ul>`
  }

  #done(kept: Calibration, unit: TemperatureUnit) {
    if (this.history.some(({ id, withdrawnAt }) => id === kept.id && withdrawnAt !== null))
      return html`<h2 tabindex="-1">Taken back</h2>
        <p role="status">${takenBackWords(this.history)}</p>
        <div class="row">
          <a class="button" href="/devices">To the devices</a>
          <button class="quiet" @click=${() => this.#anew()}>Calibrate again</button>
        </div>`
    return html`<h2 tabindex="-1">Set right</h2>
      <p role="status">
        ${foundWords(kept, unit)} ${sureWords(kept, unit)}; ${earlierWords(this.look?.assignedTo ?? null)}.
      </p>
      ${this.look?.assignedTo ? html`<p>Put it back into its vessel, and see that its lead is fixed.</p>` : nothing}
      <div class="row">
        <a class="button" href="/devices">To the devices</a>
        <button class="quiet" @click=${() => this.#anew()}>Calibrate again</button>
      </div>`
  }

  #past(unit: TemperatureUnit) {
    if (this.history.length === 0) return nothing
    return html`<section>
      <h2>Calibrations of this probe</h2>
      <ul class="lines">
        ${this.history.map(
          each =>
            html`<li>
              <span class=${each.withdrawnAt ? 'gone' : ''}>
                ${moment(Date.parse(each.at), this.#tick.nowMs, zone)}:
                ${calibrationLine(each, unit)}${
                  each.residualC >= 0.005 ? `, points apart by ${fineDifference(each.residualC, unit)}` : ''
                }
              </span>
              ${
                each.withdrawnAt
                  ? html`<span class="soft">taken back</span>`
                  : this.asked === each.id
                    ? takeBackQuestion(
                        this.#sending.busy,
                        () => void this.#withdraw(each),
                        () => (this.asked = null),
                      )
                    : html`<button
                        class="quiet"
                        ?disabled=${this.#sending.busy}
                        @click=${() => this.#askBack(each)}
                      >
                        Take back…<span class="hidden">
                          the calibration of ${moment(Date.parse(each.at), this.#tick.nowMs, zone)}</span
                        >
                      </button>`
              }
            </li>`,
        )}
      </ul>
    </section>`
  }

  #askBack({ id }: Calibration): void {
    this.asked = id
    void this.updateComplete.then(() => this.renderRoot.querySelector<HTMLElement>('.really')?.focus())
  }

  #begin(reference: Reference): void {
    this.holding = reference
    this.#sending.refuse(new Map())
    this.#focus()
  }
  #anew(): void {
    dropDraft(pointsDraft(this.probe))
    this.points = []
    this.made = this.kept = this.holding = null
  }

  /** What was taken before the page closed: an ice bath is not made twice for that. */
  async #takeUp(): Promise<void> {
    const points = readDraft<readonly Point[]>(pointsDraft(this.probe), Date.now())
    if (!points || points.length === 0 || this.points.length > 0) return
    const through = await this.#sending.send(async () => {
      this.made = await request<CalibrationMade>('POST', '/calibrations/reckon', this.#body(points))
    })
    if (through) this.points = points
    else dropDraft(pointsDraft(this.probe))
  }

  readonly #take = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const { holding, look } = this
    const unit = this.#settings.value?.temperatureUnit ?? 'C'
    if (!holding || !look?.rest?.steady) return
    const { from, to, meanC } = look.rest
    let point: Point = { reference: holding, from, to, shownC: meanC }
    if (holding === 'thermometer') {
      const form = event.currentTarget as HTMLFormElement
      const [shown, off] = ['referenceC', 'plusMinus'].map(name => readNumber(fieldText(form, name)))
      const wrong = new Map<string, string>()
      if (shown === null || shown === undefined) wrong.set('referenceC', 'Write what the thermometer shows.')
      if (!off || off <= 0) wrong.set('plusMinus', 'Write how far it may be off.')
      if (wrong.size > 0 || typeof shown !== 'number' || !off) return this.#sending.refuse(wrong)
      point = {
        ...point,
        referenceC: unit === 'C' ? shown : toC(shown),
        referencePlusMinusC: unit === 'C' ? off : off / 1.8,
      }
    }
    const points = [...this.points, point]
    const through = await this.#sending.send(async () => {
      this.made = await request<CalibrationMade>('POST', '/calibrations/reckon', this.#body(points))
    })
    if (!through) return
    this.#draft.drop()
    this.points = points
    keepDraft(pointsDraft(this.probe), points, Date.now())
    this.holding = null
  }

  async #keep(): Promise<void> {
    const through = await this.#sending.send(async () => {
      this.kept = await request<Calibration>('POST', '/calibrations', this.#body(this.points))
    })
    if (through) {
      dropDraft(pointsDraft(this.probe))
      this.#focus()
    }
    await this.#recall()
  }

  async #withdraw({ id }: Calibration): Promise<void> {
    const through = await this.#sending.send(() =>
      request('POST', `/calibrations/${encodeURIComponent(id)}/withdraw`),
    )
    await this.#recall()
    if (!through) return
    this.asked = null
    if (this.kept?.id === id) this.#focus()
  }

  #body(points: readonly Point[]): NewCalibration {
    return { probe: this.probe, points: points.map(({ shownC: _, ...point }) => point) }
  }

  #focus(): void {
    void this.updateComplete.then(() => this.renderRoot.querySelector<HTMLElement>('h2[tabindex]')?.focus())
  }

  async #ask(): Promise<void> {
    try {
      this.look = await request<ProbeLook>('GET', `/probe?probe=${encodeURIComponent(this.probe)}`)
      this.lost = false
    } catch {
      this.lost = true
    }
  }

  async #recall(): Promise<void> {
    const path = `/calibrations?probe=${encodeURIComponent(this.probe)}`
    const answer = await request<{ calibrations: Calibration[] }>('GET', path).catch(() => null)
    if (answer) this.history = answer.calibrations
  }
}
defineFor('owner', 'bw-calibrate', Calibrate, 'Calibrate')
