import { html, LitElement, nothing, type PropertyValues } from 'lit'
import type { Batch } from '../../broker/web/api/batches.ts'
import type { Settings } from '../../broker/web/api/schemas.ts'
import { problem, Sending } from '../forms/form.ts'
import type { Rule } from '../forms/rule-fields.ts'
import { request } from '../state/api.ts'
import type { TriedSettings } from '../state/route.ts'
import { Tick, Watch } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { delayKnob, limitKnob, type Refused, type Turned } from '../try-out/knobs.ts'
import { TRIED_RULES } from '../try-out/ranges.ts'
import { tryOutStyle } from '../try-out/page-style.ts'
import { Run } from '../try-out/run.ts'
import '../try-out/strip.ts'
import { ALARM_WORD } from '../words/alarm.ts'
import { ruleSentence } from '../words/alarm-rule.ts'
import { moment } from '../words/time.ts'
import { progressWords, tryOutSentence } from '../words/try-out.ts'

type Setting = Settings['rules'][Rule]
/** On how many batches it is tried: more take longer. */
const COUNTS = [3, 5, 10, 20, 40]
/** The most that the broker tries at once. */
const MOST_BATCHES = 40

/** What other limits would have done: pick a rule, move its limit or its delay, and see it on the batches that there were. */
export class TryOutView extends LitElement {
  static override properties = {
    rule: { attribute: false },
    asked: { attribute: false },
    batchId: { attribute: false },
    tried: { state: true },
    newest: { state: true },
    batches: { state: true },
    saved: { state: true },
    refused: { state: true },
  }
  /** Which rule, from the address; the first there is when none is named. */
  declare rule: string
  /** Settings of the rule that the address came with. */
  declare asked: TriedSettings
  /** A batch that it is tried on besides the newest; empty for none. */
  declare batchId: string
  /** As it is tried; `null` while nothing was moved. */
  declare tried: Setting | null
  declare newest: number
  declare batches: ReadonlyMap<string, Batch>
  declare saved: boolean
  declare refused: Refused | null
  readonly #settings = new Watch(this, from => from.state.settings)
  readonly #vessels = new Watch(this, from => from.state.vessels)
  readonly #tick = new Tick(this, 60_000)
  readonly #run = new Run(this)
  readonly #sending = new Sending(this)

  constructor() {
    super()
    this.rule = ''
    this.asked = {}
    this.batchId = ''
    this.tried = null
    this.newest = 3
    this.batches = new Map()
    this.saved = false
    this.refused = null
  }

  static override styles = [shared, tryOutStyle]

  override willUpdate(changed: PropertyValues<this>): void {
    if (changed.has('rule')) this.tried = this.refused = null
    const settings = this.#settings.value
    if (changed.has('asked') && settings && Object.keys(this.asked).length > 0)
      this.tried = { ...settings.rules[this.#chosen], ...this.asked }
  }
  override updated(changed: PropertyValues<this>): void {
    // What there was is shown at once, and reckoned ahead for the first move.
    if ((changed.has('rule') || changed.has('asked')) && this.#settings.value) void this.#readBatches(0)
  }

  get #chosen(): Rule {
    return TRIED_RULES.find(rule => rule === this.rule) ?? 'water-too-hot'
  }

  override render() {
    const settings = this.#settings.value
    if (!settings) return nothing
    const rule = this.#chosen
    const now = settings.rules[rule]
    const then = this.tried ?? now
    const moved = JSON.stringify(then) !== JSON.stringify(now)
    return html`<div class="page">
      <h1>Try other limits out</h1>
      <p class="intro soft">
        The batches that were recorded are lived through again, with the limits as they are and as you set
        them here. Nobody is called, and nothing is changed until you say so.
      </p>
      <div class="knobs">
        ${this.#rules(rule, settings)} ${limitKnob(rule, then, settings, this.#turned)}
        ${delayKnob(rule, then, this.#turned)} ${this.#found(moved, settings)}
        <p>${ruleSentence(rule, { ...settings, rules: { ...settings.rules, [rule]: then } })}</p>
        <label class="choice"
          ><input type="checkbox" .checked=${then.enabled} @change=${this.#enable} /> Call for this at
          all</label
        >
        ${this.#count()}
      </div>
      ${this.#strips(rule, now, then, settings)} ${this.#pending()}
      <p class="intro soft">
        Moments are reckoned anew from the readings, with the limits of today: they lie up to half a minute
        from those in the journal, and farther where limits were others then, or where the service was away.
      </p>
    </div>`
  }

  #rules(chosen: Rule, settings: Settings) {
    const go = (event: Event) => {
      const { value } = event.target as HTMLSelectElement
      history.replaceState(null, '', `/try-out?rule=${encodeURIComponent(value)}`)
      this.saved = false
      this.rule = value
    }
    return html`<div class="field">
      <label for="rule">Rule</label>
      <select id="rule" @change=${go}>
        ${TRIED_RULES.filter(rule => rule in settings.rules).map(
          rule => html`<option value=${rule} ?selected=${rule === chosen}>${ALARM_WORD[rule]}</option>`,
        )}
      </select>
    </div>`
  }

  #count() {
    return html`<div class="field">
      <label for="count">On the newest that ended</label>
      <select
        id="count"
        @change=${(event: Event) => {
          this.newest = Number((event.target as HTMLSelectElement).value)
          void this.#readBatches(0)
        }}
      >
        ${COUNTS.map(count => html`<option value=${count} ?selected=${count === this.newest}>${count} batches</option>`)}
      </select>
      <div class="notes">
        <span class="hint">And on those that are still running, up to now.</span>
      </div>
    </div>`
  }

  #found(moved: boolean, settings: Settings) {
    const { tryOut, stale, failed, busy, leftMs } = this.#run
    const says = tryOut && tryOut.batches.length > 0 ? tryOutSentence(tryOut) : ''
    const words =
      failed !== '' ? failed : tryOut ? progressWords(tryOut, leftMs) : 'Looking at what was recorded…'
    return html`<div class="found">
      <div role="status" aria-live="polite">
        ${busy || says === '' ? nothing : html`<strong>${says}</strong>`}
        ${busy && says !== '' ? html`<strong aria-hidden="true" class="stale">${says}</strong>` : nothing}
        ${!busy && words !== '' ? html`<p class=${failed === '' ? 'soft' : 'failed'}>${words}</p>` : nothing}
        ${this.saved ? html`<p class="said">Saved: this is how it calls from now on.</p>` : nothing}
      </div>
      ${
        busy
          ? html`<progress
                max="1"
                .value=${tryOut && !stale ? tryOut.progress : 0}
                aria-label="How far the try-out is"
              ></progress>
              <p class="soft" aria-hidden="true">${words}</p>`
          : nothing
      }
      <div class="row" ?hidden=${!moved && !busy}>
        ${
          moved
            ? html`<button ?disabled=${this.#sending.busy} @click=${() => this.#use(settings)}>
                  Use these settings
                </button>
                <button class="quiet" @click=${this.#back}>Back to how it is</button>`
            : nothing
        }
        ${busy && tryOut ? html`<button class="quiet" @click=${() => this.#run.stop()}>Stop</button>` : nothing}
      </div>
      ${problem(this.#sending)}
    </div>`
  }

  #strips(rule: Rule, now: Setting, then: Setting, { temperatureUnit }: Settings) {
    const { tryOut, stale } = this.#run
    if (!tryOut || tryOut.batches.length === 0) return nothing
    return html`<div class=${stale ? 'stale' : ''}>
      ${tryOut.batches.map(
        tried =>
          html`<bw-tried-strip
            .tried=${tried}
            .batch=${this.batches.get(tried.batchId) ?? null}
            .name=${this.#nameOf(tried.vesselId)}
            .rule=${rule}
            .limits=${{ now: now.limit, then: then.limit }}
            .unit=${temperatureUnit}
            .nowMs=${this.#tick.nowMs}
          ></bw-tried-strip>`,
      )}
    </div>`
  }

  /** Those that were put away keep the name they had. */
  #nameOf(vesselId: string): string {
    return (
      this.#vessels.value.get(vesselId)?.name ?? this.#run.tryOut?.names[vesselId] ?? 'A vessel that is gone'
    )
  }

  /** What is still to be done, with how far each is. */
  #pending() {
    const { tryOut, busy } = this.#run
    const pending = tryOut?.pending ?? []
    if (!busy || pending.length === 0) return nothing
    return html`<ul class="pending" aria-label="Still to be done">
      ${pending.map(({ vesselId, startedAt, progress }) => {
        const name = this.#nameOf(vesselId)
        return html`<li>
          <span
            ><strong>${name}</strong>
            <span class="soft">${moment(Date.parse(startedAt), this.#tick.nowMs, zone)}</span></span
          >
          <progress max="1" .value=${progress} aria-label="How far ${name} is"></progress>
          <span class="soft">${Math.floor(progress * 100)} %</span>
        </li>`
      })}
    </ul>`
  }

  get #turned(): Turned {
    return {
      refused: this.refused,
      move: change => this.#move(change),
      refuse: refused => (this.refused = refused),
    }
  }

  readonly #enable = (event: Event): void =>
    this.#move({ enabled: (event.target as HTMLInputElement).checked })

  readonly #back = (): void => {
    this.tried = null
    this.refused = null
    this.#wish(0)
  }

  #move(change: Partial<Setting>): void {
    const settings = this.#settings.value
    if (!settings) return
    this.saved = false
    this.refused = null
    this.tried = { ...(this.tried ?? settings.rules[this.#chosen]), ...change }
    this.#wish()
  }

  #wish(afterMs?: number): void {
    const rules = this.tried ? { [this.#chosen]: this.tried } : {}
    const batchIds = [...this.batches.keys()].slice(0, MOST_BATCHES)
    this.#run.wish(
      { rules, newest: this.newest, ...(this.batchId === '' || batchIds.length === 0 ? {} : { batchIds }) },
      afterMs,
    )
  }

  async #use(settings: Settings): Promise<void> {
    const { tried } = this
    if (!tried) return
    const rules = { ...settings.rules, [this.#chosen]: tried }
    if (!(await this.#sending.send(() => request('PUT', '/settings', { ...settings, rules })))) return
    this.saved = true
    this.tried = null
    this.#wish(0)
  }

  /** Which batches it is tried on; then it is tried. */
  async #readBatches(afterMs: number): Promise<void> {
    try {
      const [running, ended] = await Promise.all(
        [`open=true&limit=${MOST_BATCHES / 2}`, `open=false&limit=${this.newest}`].map(query =>
          request<{ batches: Batch[] }>('GET', `/batches?${query}`),
        ),
      )
      const batches = [...(running?.batches ?? []), ...(ended?.batches ?? [])]
      const { batchId } = this
      const wanted =
        batchId === '' || batches.some(({ id }) => id === batchId)
          ? []
          : [await request<Batch>('GET', `/batches/${encodeURIComponent(batchId)}`)]
      this.batches = new Map([...wanted, ...batches].map(batch => [batch.id, batch]))
    } catch {
      // Only how much water was in each is not known then.
    }
    this.#wish(afterMs)
  }
}
customElements.define('bw-try-out', TryOutView)
