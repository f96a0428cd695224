import { html, LitElement, nothing } from 'lit'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import type { Alarm, Settings } from '../../broker/web/api/schemas.ts'
import { isCalm, needsPerson } from '../alarm/order.ts'
import { Link } from '../state/room-state.ts'
import { Tick, Watch } from '../state/watch.ts'
import { vesselPath } from '../state/route.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { alarmWord } from '../words/alarm.ts'
import {
  agedSooner,
  airCondition,
  airWords,
  HEATING,
  lampCondition,
  lampWords,
  lastHeardMs,
  upperWaterWords,
  waterBesideAlarms,
  waterCondition,
  waterLimits,
} from '../words/condition.ts'
import { headingText } from '../words/delay.ts'
import { hardlyKnown } from '../../broker/hatch/hardly-known.ts'
import { outText, yolkText } from '../words/hatch.ts'
import { bracketText, harvestSentence, movedText, stageText } from '../words/sentence.ts'
import { warmingText } from '../words/warming.ts'
import { digitsBeside, temperatureWords } from '../words/temperature.ts'
import { duration } from '../words/time.ts'
import '../batch/why.ts'
import { justStarted } from '../book/just-started.ts'
import { cleaningDueOf } from '../book/usual-words.ts'
import '../book/usual.ts'
import { berthStyle } from './berth-style.ts'
import './cone.ts'
import { prioritySign, waterMark } from './marks.ts'
import { pictureOf } from './picture.ts'
import './ribbon.ts'

/** One vessel in its place on the shelf: the cone, its numbers standing beside it, the ribbon and the sentence below. */
export class Berth extends LitElement {
  static override properties = {
    vessel: { attribute: false },
    settings: { attribute: false },
    alarm: { attribute: false },
    /** On its own page: larger, and no link to itself. */
    alone: { type: Boolean, reflect: true },
  }
  declare vessel: Vessel | null
  declare settings: Settings | null
  declare alarm: Alarm | null
  declare alone: boolean
  readonly #link = new Watch(this, from => from.link)
  readonly #alarms = new Watch(this, from => from.state.alarms)
  readonly #vessels = new Watch(this, from => from.state.vessels)
  readonly #reminders = new Watch(this, from => from.state.reminders)
  readonly #tick = new Tick(this, 5_000)

  constructor() {
    super()
    this.vessel = null
    this.settings = null
    this.alarm = null
    this.alone = false
  }

  static override styles = [shared, berthStyle]

  override render() {
    const { vessel, alarm } = this
    if (!vessel || !this.settings) return nothing
    const settings = agedSooner(this.settings, this.#alarms.value.values())
    const nowMs = this.#tick.nowMs
    const alarms = [...this.#alarms.value.values()].filter(({ vesselId }) => vesselId === vessel.id)
    const upper = upperWaterWords(vessel, settings, nowMs)
    const water = waterBesideAlarms(waterCondition(vessel, settings, nowMs), alarms)
    const air = airCondition(vessel, settings, nowMs)
    const lamp = lampCondition(vessel, settings, nowMs)
    // The alarm's own flag already says it.
    const said =
      (alarm?.rule === 'water-too-hot' && water.state === 'hot') ||
      (alarm?.rule === 'water-too-cool' && water.state === 'cold') ||
      (alarm?.rule === 'water-heading-hot' && water.word === HEATING)
    const live = this.#link.value === Link.live
    const urgent = alarm !== null && needsPerson(alarm) && !isCalm(alarm)
    return html`<article class="${alarm ? `alarmed ${alarm.priority}` : ''} ${urgent ? 'urgent' : ''}">
      <div class="scene ${upper === null ? '' : 'four'}">
        <div class="plank-top"></div>
        <bw-cone .picture=${pictureOf(vessel, alarms, settings, nowMs, live)}></bw-cone>
        <div class="plank"></div>
        <div class="beyond"></div>
        ${alarm ? html`<div class="sign">${prioritySign(alarm.priority, 52)}</div>` : nothing}
        <div class="standing">
          ${this.#heading(vessel)} ${this.#flag(vessel)}
          ${
            said
              ? nothing
              : html`<p class="state ${water.state}">${waterMark(water.state)} <span>${water.word}</span></p>`
          }
          ${water.waterC === null ? nothing : this.#number(water.waterC, settings, !live || water.state === 'silent')}
        </div>
        <dl class="hanging">
          ${
            upper === null
              ? nothing
              : html`<div>
                  <dt>upper</dt>
                  <dd>${upper}</dd>
                </div>`
          }
          <div>
            <dt>air</dt>
            <dd class=${air.staleMs === null ? '' : 'old'}>${airWords(air)}</dd>
          </div>
          <div>
            <dt>lamp</dt>
            <dd class=${lamp.staleMs === null ? '' : 'old'}>${lampWords(lamp)}</dd>
          </div>
          ${
            water.state === 'silent' && vessel.latest.waterC
              ? html`<div>
                  <dt>heard</dt>
                  <dd>${duration(nowMs - Date.parse(vessel.latest.waterC.at))} ago</dd>
                </div>`
              : vessel.batch && air.flowing !== false && air.staleMs === null && lamp.staleMs === null
                ? html`<div>
                    <dt class="hidden">batch</dt>
                    <dd>${stageText(vessel)}</dd>
                  </div>`
                : nothing
          }
        </dl>
      </div>
      <div class="way">
        <bw-ribbon
          .batch=${vessel.batch}
          .forecast=${vessel.forecast}
          .nowMs=${Math.floor(nowMs / 60_000) * 60_000}
        ></bw-ribbon>
        ${this.alone ? html`<p class="bracket">${bracketText(vessel, nowMs, zone)}</p>` : nothing}
        <p class="sentence">
          ${harvestSentence(vessel, settings, nowMs, zone, alarms, cleaningDueOf(this.#reminders.value, vessel.id) !== null)}
        </p>
        ${this.#warming(vessel, settings, nowMs)} ${this.#moved(vessel, nowMs)}
        ${this.#course(vessel, settings, nowMs)} ${this.alone ? this.#more(vessel, settings) : nothing}
        ${this.#started(vessel)}
        ${vessel.batch || this.alone ? nothing : html`<bw-usual class="start" .vessel=${vessel}></bw-usual>`}
      </div>
    </article>`
  }

  /** Fetched once something was started here. */
  #started(vessel: Vessel) {
    if (!vessel.batch || !justStarted(vessel.batch.id, Date.now())) return nothing
    void import('../book/started.ts').catch(() => undefined)
    return html`<bw-started class="start" .vessel=${vessel}></bw-started>`
  }

  #warming(vessel: Vessel, settings: Settings, nowMs: number) {
    const text = warmingText(vessel, settings, nowMs, this.alone)
    return text === '' ? nothing : html`<p class="out">${text}</p>`
  }

  #moved(vessel: Vessel, nowMs: number) {
    const text = movedText(vessel, id => this.#vessels.value.get(id)?.name, nowMs, zone)
    return text === '' ? nothing : html`<p class="out">${text}</p>`
  }

  /** What asks for the person: an alarm, or else food that is ready. */
  #flag(vessel: Vessel) {
    if (this.alarm) return html`<p class="flag">${alarmWord(this.alarm)}</p>`
    const stage = vessel.batch ? vessel.forecast?.stage : undefined
    if (stage === 'harvest') {
      const unsure = vessel.forecast !== null && hardlyKnown(vessel.forecast.hatchedNow)
      return html`<p class="flag food">${unsure ? 'Perhaps ready' : 'Harvest now'}</p>`
    }
    if (stage === 'overdue') return html`<p class="flag food">Overdue</p>`
    return nothing
  }

  /** Where the water is going, when that is its limit: told before anything calls. */
  #course(vessel: Vessel, settings: Settings, nowMs: number) {
    const { forecast, latest } = vessel
    const text = headingText(
      forecast?.heading ?? null,
      settings.temperatureUnit,
      nowMs,
      zone,
      latest.waterC?.value ?? null,
      lastHeardMs(vessel, settings, nowMs),
    )
    if (text === '') return nothing
    return html`<p class="heading">
      <svg viewBox="0 0 24 24" width="22" height="22" aria-hidden="true">
        <path
          d="M2 5 H22 M4 21 L13 12 M7 11.5 H13.5 V18"
          fill="none"
          stroke="currentColor"
          stroke-width="2.6"
          stroke-linecap="round"
          stroke-linejoin="round"
        />
      </svg>
      <span>${text}</span>
    </p>`
  }

  /** What is out and how it keeps, and why the harvest is not when it was planned. */
  #more({ batch, forecast }: Vessel, settings: Settings) {
    if (!batch || !forecast) return nothing
    const out = [outText(forecast), yolkText(forecast)].filter(text => text !== '').join(' ')
    return html`<bw-why .batch=${batch} .forecast=${forecast} .settings=${settings}></bw-why>
      ${out === '' ? nothing : html`<p class="out">${out}</p>`}`
  }

  #heading(vessel: Vessel) {
    return this.alone
      ? html`<h1>${vessel.name}</h1>`
      : html`<h2><a href=${vesselPath(vessel.id)}>${vessel.name}</a></h2>`
  }

  #number(waterC: number, settings: Settings, old: boolean) {
    const digits = digitsBeside(waterC, waterLimits(settings).hotC)
    const words = temperatureWords(waterC, settings.temperatureUnit, digits)
    return html`<p class="number ${old ? 'old' : ''}">
      <span class="hidden">Water </span>${words.first}<small
        ><span>${words.firstUnit}</span><span>${words.second}</span></small
      >
    </p>`
  }
}
customElements.define('bw-berth', Berth)
