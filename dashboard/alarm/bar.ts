import { html, LitElement, nothing } from 'lit'
import { repeat } from 'lit/directives/repeat.js'
import type { Alarm } from '../../broker/web/api/schemas.ts'
import { ApiError, request } from '../state/api.ts'
import { may } from '../state/me.ts'
import { Link } from '../state/room-state.ts'
import { Frames, Tick, Watch } from '../state/watch.ts'
import { vesselPath } from '../state/route.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { prioritySign } from '../vessel/marks.ts'
import { alarmWord, isOver } from '../words/alarm.ts'
import { alarmNow, aroundAction } from '../words/alarm-now.ts'
import { alarmSpan, firstAct, unbroken } from '../words/alarm-span.ts'
import { ownUnitFirst } from '../words/temperature.ts'
import { Aloud } from './aloud.ts'
import { Answered } from './answered.ts'
import { barStyle } from './bar-style.ts'
import { chainWords, foretold } from './chain.ts'
import { foldLine, lineWords } from './fold-line.ts'
import {
  atRest,
  canBePutOff,
  inOrder,
  isUnseen,
  kindOf,
  LOW_SCREEN,
  mustSound,
  needsPerson,
  whileWalking,
  wholeAlarm,
} from './order.ts'
import { putOffChoices } from './put-off.ts'
import { sound } from './sound.ts'
import { Trends } from './trends.ts'

/** The standing alarms, above everything else on every view: the foremost whole, the others a line each. */
export class AlarmBar extends LitElement {
  static override properties = {
    busy: { state: true },
    failed: { state: true },
    chosen: { state: true },
    told: { state: true },
    putting: { state: true },
    taking: { state: true },
    unfolded: { state: true },
    walking: { type: Boolean },
  }
  declare busy: ReadonlySet<string>
  declare failed: string
  /** The alarm that the person opened; `null` for the foremost. */
  declare chosen: string | null
  /** The alarm whose whole text is shown. */
  declare told: string | null
  /** The alarm that is being put off: for how long is being asked. */
  declare putting: string | null
  /** The alarm whose rule is about to be taken out of service: until when and why is being asked. */
  declare taking: string | null
  /** All lines are shown. */
  declare unfolded: boolean
  /** Somebody is at work step by step below: what is not critical takes one line. */
  declare walking: boolean
  readonly #alarms = new Watch(this, store => store.state.alarms)
  readonly #aside = new Watch(this, store => store.state.aside)
  readonly #vessels = new Watch(this, store => store.state.vessels)
  readonly #settings = new Watch(this, store => store.state.settings)
  readonly #link = new Watch(this, store => store.link)
  readonly #tick = new Tick(this, 10_000)
  readonly #trends = new Trends(this)
  #foremost: string | null = null
  #focusWhole = false
  readonly #aloud = new Aloud()
  readonly #answered = new Answered(this, {
    standing: id => this.#alarms.value.get(id),
    aside: id => this.#aside.value.get(id),
    // The feed may tell of it before the answer comes: what was opened by hand becomes a line only then.
    isOpen: id => this.chosen === id || this.busy.has(id),
  })

  constructor() {
    super()
    this.busy = new Set()
    this.failed = ''
    this.chosen = null
    this.told = null
    this.putting = null
    this.taking = null
    this.unfolded = false
    this.walking = false
    new Frames(this, frame => {
      const alarms = inOrder(frame.state.alarms.values())
      sound.sound(alarms.find(mustSound)?.priority ?? null)
      const [first, ...others] = alarms.filter(needsPerson)
      const title = first ? `(${others.length + 1}) ${alarmWord(first)} · brinewatch` : 'brinewatch'
      if (document.title !== title) document.title = title
    })
  }

  static override styles = [shared, barStyle]

  override willUpdate(): void {
    const alarms = inOrder(this.#alarms.value.values())
    // What calls louder than before is not left as a line because another was opened.
    const foremost = wholeAlarm(alarms, null)?.id ?? null
    if (foremost !== this.#foremost) {
      this.#foremost = foremost
      if (foremost !== null) this.chosen = null
    }
    this.#trends.follow([...new Set(alarms.filter(isOfWater).flatMap(({ vesselId }) => vesselId ?? []))])
  }

  override updated(): void {
    this.toggleAttribute('standing', this.#alarms.value.size > 0)
    this.#answered.follow()
    if (!this.#focusWhole) return
    this.#focusWhole = false
    this.renderRoot.querySelector<HTMLElement>('.acts button')?.focus()
  }

  override render() {
    const alarms = inOrder(this.#alarms.value.values())
    const first = alarms.find(needsPerson)
    const low = innerHeight < LOW_SCREEN
    const sight = (unfolded: boolean) =>
      (this.walking ? whileWalking : atRest)(alarms, this.chosen, unfolded, low)
    const { whole, lines, folded } = sight(this.unfolded)
    return html`
      <div role="alert" class="hidden">${first ? this.#said(first) : nothing}</div>
      ${
        alarms.length === 0
          ? nothing
          : html`<ul aria-label="Standing alarms">
              ${repeat(
                // What is whole stands first, so that it is never the part that is scrolled away.
                whole ? [whole, ...lines] : lines,
                alarm => alarm.id,
                alarm =>
                  alarm === whole
                    ? html`<li class="whole ${kindOf(alarm)}">${this.#whole(alarm)}</li>`
                    : html`<li class="one ${kindOf(alarm)}">${this.#line(alarm)}${this.#reset(alarm)}</li>`,
              )}
              ${foldLine(folded, alarms.length, {
                unfolded: this.unfolded,
                foldable: sight(false).folded.length > 0,
                telling: low && !this.walking,
                name: alarm => this.#name(alarm),
                turn: () => (this.unfolded = !this.unfolded),
              })}
            </ul>`
      }
      ${this.failed === '' ? nothing : html`<p class="failed" role="status">${this.failed}</p>`}
    `
  }

  #whole(alarm: Alarm) {
    const { began, then } = aroundAction({ ...alarm, text: this.#ownUnit(alarm.text) })
    const act = firstAct(alarm)
    const now = this.#now(alarm)
    const told = this.told === alarm.id
    return html`${prioritySign(alarm.priority, 34)}
      <div class="told">
        <strong class="name"
          >${alarmWord(alarm)}${
            alarm.vesselId === null
              ? nothing
              : html`: <a href=${vesselPath(alarm.vesselId)}>${this.#name(alarm)}</a>`
          }</strong
        >
        <p class="now">${now?.told}</p>
        <p class="since">
          ${unbroken([now?.against, alarmSpan(alarm, this.#tick.nowMs, zone, foretold(alarm, this.#aside.value))].filter(Boolean).join('; '))}
        </p>
        ${this.#oxygen(alarm)}
      </div>
      ${act === '' ? nothing : html`<p class="action">${act}</p>`} ${this.#chain(alarm)}
      ${
        told
          ? html`<div class="text" id="text">
              ${then === '' || isOver(alarm) ? nothing : html`<p>${then}</p>`}
              <p>As it was told: ${began}</p>
              <p><a href="/journal">Every alarm so far</a></p>
            </div>`
          : nothing
      }
      <div class="acts">
        ${
          isUnseen(alarm) && may('helper')
            ? html`<button
                class="acknowledge"
                ?disabled=${this.busy.has(alarm.id)}
                @click=${() => this.#acknowledge(alarm)}
                aria-label="Acknowledge: ${alarmWord(alarm)}, ${this.#name(alarm)}"
              >
                Acknowledge
              </button>`
            : nothing
        }
        ${may('helper') ? this.#reset(alarm) : nothing}
        ${
          may('helper') && canBePutOff(alarm)
            ? html`<button
                aria-expanded=${this.putting === alarm.id}
                @click=${() => {
                  this.putting = this.putting === alarm.id ? null : alarm.id
                  this.taking = this.told = null
                }}
              >
                Put off
              </button>`
            : nothing
        }
        <button
          aria-expanded=${told}
          aria-controls=${told ? 'text' : nothing}
          @click=${() => {
            this.told = told ? null : alarm.id
            // On a phone there is no room for both.
            this.putting = this.taking = null
          }}
        >
          ${told ? 'Less' : 'More'}
        </button>
        ${
          needsPerson(alarm)
            ? nothing
            : html`<button
                @click=${() => {
                  this.chosen = null
                }}
              >
                Close
              </button>`
        }
      </div>
      ${this.putting === alarm.id && canBePutOff(alarm) ? this.#choices(alarm) : nothing}`
  }

  /** Lets go of what is over and latched: a button of its own wherever the alarm stands, for nothing else ends it. */
  #reset(alarm: Alarm) {
    if (alarm.state !== 'latched-acknowledged') return nothing
    return html`<button
      class="acknowledge"
      ?disabled=${this.busy.has(alarm.id)}
      @click=${() => this.#act(alarm, `/alarms/${encodeURIComponent(alarm.id)}/reset`)}
      aria-label="Reset: ${alarmWord(alarm)}, ${this.#name(alarm)}"
    >
      Reset
    </button>`
  }

  /** What is silent because of it. */
  #chain(alarm: Alarm) {
    const words = chainWords(alarm, this.#aside.value, id => this.#vessels.value.get(id)?.name)
    return words === '' ? nothing : html`<p class="chain">${words}</p>`
  }

  #choices(alarm: Alarm) {
    if (this.taking === alarm.id)
      return html`<div class="choices">
        <bw-take-out
          .alarm=${alarm}
          .vessel=${this.#name(alarm)}
          @bw-done=${() => (this.putting = this.taking = null)}
        ></bw-take-out>
      </div>`
    return putOffChoices(alarm, {
      busy: this.busy.has(alarm.id),
      limitMin: this.#settings.value?.shelveLimitMin ?? 720,
      act: (path, body) => void this.#act(alarm, path, body),
      takeOut: () => this.#take(alarm),
    })
  }

  #line(alarm: Alarm) {
    return html`<button
      class="line"
      data-id=${alarm.id}
      aria-expanded="false"
      @click=${() => {
        this.chosen = alarm.id
        this.#focusWhole = true
      }}
    >
      ${prioritySign(alarm.priority, 26)}
      <span class="what">${lineWords(alarm, this.#name(alarm))}</span>
      <span class="value">${this.#now(alarm)?.value}</span>
    </button>`
  }

  #now(alarm: Alarm) {
    const settings = this.#settings.value
    const { vesselId } = alarm
    if (!settings) return undefined
    const vessel = this.#vessels.value.get(vesselId ?? '')
    const live = this.#link.value === Link.live
    return alarmNow(alarm, vessel, settings, this.#tick.nowMs, live, this.#trends.of(vesselId ?? ''))
  }

  #said(alarm: Alarm): string {
    const vessel = this.#vessels.value.get(alarm.vesselId ?? '')
    return this.#aloud.once(alarm, this.#name(alarm), vessel, this.#settings.value, this.#tick.nowMs)
  }

  #ownUnit(words: string): string {
    return ownUnitFirst(words, this.#settings.value?.temperatureUnit ?? 'C')
  }

  /** How long the oxygen lasts, counted down where air is what is missing. */
  #oxygen(alarm: Alarm) {
    if (alarm.rule !== 'air-lost' || isOver(alarm)) return nothing
    void import('./oxygen.ts').catch(() => undefined)
    return html`<bw-oxygen
      .alarm=${alarm}
      .vessel=${this.#vessels.value.get(alarm.vesselId ?? '') ?? null}
      .settings=${this.#settings.value}
    ></bw-oxygen>`
  }

  #name(alarm: Alarm): string {
    if (alarm.vesselId === null) return 'the whole room'
    return this.#vessels.value.get(alarm.vesselId)?.name ?? 'A vessel'
  }

  /** Until when and why is asked first: one tap of a wet thumb must not silence a rule for good. */
  #take(alarm: Alarm): void {
    void import('./take-out.ts').catch(() => undefined)
    this.taking = alarm.id
    this.#answered.did(alarm)
  }

  #acknowledge(alarm: Alarm): Promise<void> {
    return this.#act(alarm, `/alarms/${encodeURIComponent(alarm.id)}/acknowledge`)
  }

  async #act(alarm: Alarm, path: string, body?: unknown): Promise<void> {
    this.busy = new Set([...this.busy, alarm.id])
    this.failed = ''
    this.#answered.did(alarm)
    try {
      await request('POST', path, body)
      this.putting = null
      if (this.chosen === alarm.id) this.chosen = null
    } catch (error) {
      this.#answered.forget()
      this.failed = error instanceof ApiError ? error.message : 'That could not be done.'
    }
    this.busy = new Set([...this.busy].filter(id => id !== alarm.id))
  }
}
customElements.define('bw-alarms', AlarmBar)

const isOfWater = ({ rule }: Alarm): boolean => rule === 'water-too-hot' || rule === 'water-too-cool'
