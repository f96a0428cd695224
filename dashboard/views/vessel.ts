import { css, html, LitElement, nothing, type PropertyValues } from 'lit'
import type { Journal, JournalEntry } from '../../broker/web/api/journal.ts'
import type { Forecast } from '../../broker/web/api/forecast.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import type { Alarm } from '../../broker/web/api/schemas.ts'
import '../alarm/hush.ts'
import { foremost } from '../alarm/order.ts'
import '../batch/goal.ts'
import type { LastBatch } from '../batch/last-batch.ts'
import '../batch/last-batch.ts'
import { lotKnown } from '../batch/lot-known.ts'
import type { Seen } from '../batch/seen.ts'
import '../batch/seen.ts'
import '../book/usual.ts'
import type { Curves } from '../curves/curves.ts'
import '../curves/curves.ts'
import '../forms/channels.ts'
import '../forms/correct-batch.ts'
import '../forms/end-batch.ts'
import '../forms/start-batch.ts'
import '../forms/vessel-facts.ts'
import { request } from '../state/api.ts'
import { batchPath, harvestPath, sheetPath } from '../state/route.ts'
import { Tick, Watch } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import '../vessel/berth.ts'
import '../vessel/reminders.ts'
import { ALARM_WORD } from '../words/alarm.ts'
import { about, cystSpoons, gramsText, litresText } from '../words/amounts.ts'
import { outAlreadyText, yieldText } from '../words/hatch.ts'
import { pastWords } from '../words/past-alarm.ts'
import { reckonedAt } from '../words/reckoned-at.ts'
import { ownUnitFirst } from '../words/temperature.ts'
import { duration, moment } from '../words/time.ts'
import './past-batches.ts'
import type { LookEvent, PastBatches } from './past-batches.ts'

/** One vessel: itself, its curves, its batch, its channels and what it has called for. */
export class VesselPage extends LitElement {
  static override properties = {
    vesselId: { attribute: false },
    past: { state: true },
    warned: { state: true },
  }
  declare vesselId: string
  /** Ended alarms; `null` while they are not known. */
  declare past: readonly Alarm[] | null
  /** The lives of its warnings, by their ids. */
  declare warned: ReadonlyMap<string, JournalEntry>
  readonly #vessels = new Watch(this, store => store.state.vessels)
  readonly #alarms = new Watch(this, store => store.state.alarms)
  readonly #settings = new Watch(this, store => store.state.settings)
  readonly #tick = new Tick(this, 20_000)
  #asked: unknown = null

  constructor() {
    super()
    this.vesselId = ''
    this.past = null
    this.warned = new Map()
  }

  static override styles = [
    shared,
    css`
      .page {
        display: grid;
        gap: 36px;
        max-width: 82rem;
        margin: 0 auto;
        padding: 8px 0 40px;
      }
      .inner {
        padding-inline: 16px;
        display: grid;
        grid-template-columns: minmax(0, 1fr);
        gap: 36px;
        align-content: start;
        min-width: 0;
      }
      dl.facts {
        display: grid;
        grid-template-columns: auto 1fr;
        gap: 4px 16px;
      }
      dl.facts dt {
        color: var(--ink-soft);
      }
      dl.facts dd {
        font-weight: 600;
      }
      .lot-known {
        max-width: 34rem;
      }
      .lot-known a {
        display: inline-block;
        padding: 12px 0;
      }
      button.text {
        min-height: 44px;
        padding: 6px 14px;
        font-size: 1rem;
        background: transparent;
        color: var(--ink);
        border-color: var(--line-strong);
      }
      .past li {
        padding: 10px 0;
        border-top: 1px solid var(--line);
      }
      @media (min-width: 960px) {
        .page {
          grid-template-columns: minmax(360px, 5fr) 8fr;
          gap: 32px;
        }
        .inner {
          padding-inline: 24px;
        }
        .side {
          display: grid;
          gap: 20px;
          align-content: start;
        }
      }
    `,
  ]

  override willUpdate(changed: PropertyValues<this>): void {
    // The list of ended alarms can only have changed when the standing ones did.
    if (!changed.has('vesselId') && this.#asked === this.#alarms.value) return
    this.#asked = this.#alarms.value
    void this.#askPast()
  }

  override render() {
    const vessel = this.#vessels.value.get(this.vesselId)
    const settings = this.#settings.value
    if (!settings) return nothing
    if (!vessel)
      return html`<p class="inner">There is no such vessel any more. <a href="/">Back to the room</a></p>`
    const alarm = foremost(this.#alarms.value.values()).get(vessel.id) ?? null
    return html`<div class="page" @bw-corrected=${this.#corrected}>
      <div class="side">
        <bw-berth alone .vessel=${vessel} .settings=${settings} .alarm=${alarm}></bw-berth>
        <bw-reminders .vesselId=${vessel.id}></bw-reminders>
        <div class="inner">${this.#batch(vessel)}<bw-hush .vessel=${vessel}></bw-hush></div>
      </div>
      <div class="inner">
        <section aria-label="Curves"><bw-curves .vessel=${vessel} .settings=${settings}></bw-curves></section>
        <section>
          <h2>Past batches</h2>
          <bw-past-batches
            .vesselId=${vessel.id}
            .openId=${vessel.batch?.id ?? null}
            @bw-look=${this.#look}
          ></bw-past-batches>
        </section>
        <section>
          <h2>Alarms of this vessel</h2>
          ${this.#pastAlarms()}
        </section>
        <section>
          <h2>What measures it</h2>
          <bw-channels .vessel=${vessel}></bw-channels>
        </section>
        <section>
          <h2>The vessel itself</h2>
          <bw-vessel-facts .vessel=${vessel}></bw-vessel-facts>
        </section>
      </div>
    </div>`
  }

  #batch(vessel: Vessel) {
    const { batch, forecast } = vessel
    const nowMs = this.#tick.nowMs
    if (!batch)
      return html`<section>
          <h2>Start a batch</h2>
          <bw-usual alone .vessel=${vessel}></bw-usual>
          <h3>Or with other amounts</h3>
          <bw-start-batch .vessel=${vessel}></bw-start-batch>
        </section>
        <bw-last-batch .vesselId=${vessel.id}></bw-last-batch>`
    const startedMs = Date.parse(batch.startedAt)
    const ready = forecast?.stage === 'harvest' || forecast?.stage === 'overdue'
    return html`<section>
        ${ready ? html`<a class="button" href=${harvestPath(vessel.id)}>Harvest now, step by step</a>` : nothing}
        <h2>What you see</h2>
        <bw-seen
          .batch=${batch}
          .late=${(forecast?.hatchedNow.p10 ?? 0) > 0.5}
          .out=${forecast ? outAlreadyText(forecast) : ''}
        ></bw-seen>
      </section>
      <section>
        <h2>This batch</h2>
        <dl class="facts">
          <dt>Set up</dt>
          <dd>${moment(startedMs, nowMs, zone)}, ${duration(nowMs - startedMs)} ago</dd>
          <dt>Water</dt>
          <dd>${litresText(batch.litres)} at ${Number(batch.salinityGpl.toFixed(1))} g/L</dd>
          <dt>Cysts</dt>
          <dd>${gramsText(batch.cystsG)}, ${about(cystSpoons(batch.cystsG))}</dd>
          ${
            batch.lot
              ? html`<dt>Lot</dt>
                  <dd>${batch.lot}</dd>`
              : nothing
          }
          ${
            forecast?.waterMeasured === false
              ? html`<dt>Its temperature</dt>
                  <dd>${reckonedAt(forecast, vessel, this.#settings.value, nowMs)}</dd>`
              : nothing
          }
          ${forecast?.reachesHatch ? this.#times(forecast, nowMs) : nothing}
        </dl>
        ${lotKnown(forecast, this.#count)}
        <bw-correct-batch .batch=${batch}></bw-correct-batch>
        <bw-goal .batch=${batch} .forecast=${forecast}></bw-goal>
        <div class="row">
          ${ready ? nothing : html`<a class="button quiet" href=${harvestPath(vessel.id)}>Harvest step by step</a>`}
          <a class="button quiet" href=${sheetPath(batch.id)}>Batch sheet</a>
          <a class="button quiet" href=${batchPath(batch.id)}>Replay it so far</a>
        </div>
        <bw-end-batch .batch=${batch}></bw-end-batch>
      </section>`
  }

  #times({ t10, t90, harvest, nauplii, firstSeenAt }: Forecast, nowMs: number) {
    const at = (time: string) => moment(Date.parse(time), nowMs, zone)
    return html`${
        firstSeenAt === undefined
          ? nothing
          : html`<dt>First swimmers</dt>
              <dd>seen ${at(firstSeenAt)}; the times below lean on it</dd>`
      }
      <dt>First tenth out</dt>
      <dd>${at(t10.p50)}${firstSeenAt === undefined ? '' : ', reckoned'}</dd>
      <dt>Nearly all out</dt>
      <dd>${at(t90.p50)}</dd>
      <dt>Best at about</dt>
      <dd>${at(harvest.best)}</dd>
      <dt>Good until</dt>
      <dd>${at(harvest.until)}</dd>
      <dt>In the end</dt>
      <dd>${yieldText(nauplii)} nauplii</dd>`
  }

  readonly #corrected = (): void => {
    this.renderRoot.querySelector<PastBatches>('bw-past-batches')?.again()
    this.renderRoot.querySelector<LastBatch>('bw-last-batch')?.again()
  }

  readonly #count = (): void => {
    this.renderRoot.querySelector<Seen>('bw-seen')?.count()
  }

  #pastAlarms() {
    if (this.past === null) return html`<p class="soft">Looking them up…</p>`
    if (this.past.length === 0) return html`<p class="soft">It has never called.</p>`
    const nowMs = this.#tick.nowMs
    return html`<ul class="past">
      ${this.past.map(alarm => {
        const raisedMs = Date.parse(alarm.raisedAt)
        const end = alarm.clearedAt
          ? `lasted ${duration(Date.parse(alarm.clearedAt) - raisedMs)}`
          : 'still so'
        const { text, came } = pastWords(alarm, this.warned.get(alarm.id))
        return html`<li>
          <strong>${ALARM_WORD[alarm.rule]}</strong>, ${moment(raisedMs, nowMs, zone)},
          ${end}.${came ? ' It came true: the water was too hot.' : ''}
          <span class="soft">${ownUnitFirst(text, this.#settings.value?.temperatureUnit ?? 'C')}</span>
        </li>`
      })}
    </ul>`
  }

  /** The curves are above what was tapped, so the page goes there too. */
  readonly #look = ({ fromMs, toMs }: LookEvent): void => {
    const curves = this.renderRoot.querySelector<Curves>('bw-curves')
    curves?.look(fromMs, toMs)
    curves?.scrollIntoView({ block: 'start' })
  }

  /** What the warnings in the list told when they called. */
  async #askWarnings(past: readonly Alarm[]): Promise<void> {
    const warnings = past.filter(({ rule }) => rule === 'water-heading-hot')
    const oldest = warnings.at(-1)
    if (!oldest) return
    const { vesselId } = this
    // The journal goes back 400 days; older ones are told as they ended.
    const fromMs = Math.max(Date.parse(oldest.raisedAt), this.#tick.nowMs - 399 * 86_400_000)
    const query = new URLSearchParams({
      from: new Date(fromMs).toISOString(),
      vesselId,
      rule: 'water-heading-hot',
      limit: '20',
    })
    const { entries } = await request<Pick<Journal, 'entries'>>('GET', `/alarms/journal?${query}`)
    if (vesselId === this.vesselId) this.warned = new Map(entries.map(entry => [entry.alarm.id, entry]))
  }

  async #askPast(): Promise<void> {
    const vesselId = this.vesselId
    try {
      const query = new URLSearchParams({ standing: 'false', vesselId, limit: '20' })
      const { alarms } = await request<{ alarms: Alarm[] }>('GET', `/alarms?${query}`)
      if (vesselId !== this.vesselId) return
      this.past = alarms.filter(alarm => alarm.vesselId === vesselId)
      await this.#askWarnings(this.past)
    } catch {
      this.past ??= []
    }
  }
}
customElements.define('bw-vessel-page', VesselPage)
