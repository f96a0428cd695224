import { css, html, LitElement, nothing, type PropertyValues, svg } from 'lit'
import type { Batch } from '../../broker/web/api/batches.ts'
import type { Readings } from '../../broker/web/api/vessels.ts'
import type { TriedBatch } from '../../broker/web/api/try-outs.ts'
import { request } from '../state/api.ts'
import { zone } from '../state/zone.ts'
import { place } from '../style/place.ts'
import { shared } from '../style/shared.ts'
import { shortTemperature, type TemperatureUnit } from '../words/temperature.ts'
import { duration, moment } from '../words/time.ts'
import { changeWords, UNTRIED_WORD } from '../words/try-out.ts'
import { curveOf, limitOnCurve } from './ranges.ts'

type Change = TriedBatch['alarms'][number]

const WIDTH = 1000
/** Told apart without colour; the words say it too. */
const CHANGE_SIGN: Record<Change['change'], string> = {
  same: '=',
  earlier: '←',
  later: '→',
  new: '+',
  gone: '−',
}
const CURVE = 64
const POINTS = 240

/** One batch of a try-out: its curve with the limit as it is and as it might be, and the calls under it, now and then. */
export class TriedStrip extends LitElement {
  static override properties = {
    tried: { attribute: false },
    batch: { attribute: false },
    name: { attribute: false },
    rule: { attribute: false },
    limits: { attribute: false },
    unit: { attribute: false },
    nowMs: { attribute: false },
    readings: { state: true },
  }
  declare tried: TriedBatch | null
  declare batch: Batch | null
  declare name: string
  declare rule: Change['rule']
  /** The limit as it is and as it is tried, in the kept unit. */
  declare limits: { readonly now: number; readonly then: number } | null
  declare unit: TemperatureUnit
  declare nowMs: number
  declare readings: Readings | null

  constructor() {
    super()
    this.tried = null
    this.batch = null
    this.name = ''
    this.rule = 'water-too-hot'
    this.limits = null
    this.unit = 'C'
    this.nowMs = 0
    this.readings = null
  }

  static override styles = [
    shared,
    css`
      article {
        display: grid;
        gap: 6px;
        padding: 14px 0 18px;
        border-top: 1px solid var(--line);
      }
      header {
        display: flex;
        flex-wrap: wrap;
        gap: 2px 14px;
        align-items: baseline;
      }
      .drawn {
        position: relative;
        padding-left: 46px;
      }
      svg {
        display: block;
        width: 100%;
        overflow: hidden;
      }
      .curve {
        height: ${CURVE}px;
      }
      .scale {
        position: absolute;
        left: 0;
        top: 0;
        height: ${CURVE}px;
        width: 42px;
        display: flex;
        flex-direction: column;
        justify-content: space-between;
        font-size: 0.8125rem;
        line-height: 1;
        color: var(--ink-soft);
        font-variant-numeric: tabular-nums;
      }
      .curve path {
        fill: none;
        stroke: var(--ink-soft);
        stroke-width: 1.75;
        vector-effect: non-scaling-stroke;
      }
      line {
        vector-effect: non-scaling-stroke;
      }
      .limit {
        stroke: var(--line-strong);
        stroke-width: 1.5;
        stroke-dasharray: 5 5;
      }
      .limit.then {
        stroke: var(--nauplii);
        stroke-width: 2.5;
        stroke-dasharray: none;
      }
      .calls {
        position: relative;
        height: 28px;
        border-bottom: 1px solid var(--line);
      }
      .calls > b {
        position: absolute;
        left: -46px;
        bottom: 3px;
        font-size: 0.8125rem;
        font-weight: 650;
        color: var(--ink-soft);
      }
      .call {
        position: absolute;
        left: var(--at);
        bottom: 3px;
        width: 14px;
        height: 22px;
        margin-left: -7px;
        border-radius: 3px;
        border: 2.5px solid var(--line-strong);
        background: var(--ground);
      }
      .then .call {
        border-color: var(--nauplii);
        background: var(--nauplii);
      }
      .call.other {
        opacity: 0.55;
        height: 12px;
      }
      .changes {
        display: grid;
        gap: 2px;
      }
      .changes b {
        display: inline-block;
        min-width: 1.2em;
      }
      .gone b,
      .later b {
        color: var(--warm);
      }
      .new b,
      .earlier b {
        color: var(--right);
      }
    `,
  ]

  override willUpdate(changed: PropertyValues<this>): void {
    if (!changed.has('tried')) return
    if (this.tried?.batchId !== changed.get('tried')?.batchId) {
      this.readings = null
      void this.#read()
    } else if (this.tried && this.readings && endsEarly(this.tried, this.readings)) void this.#read()
  }

  override render() {
    const { tried } = this
    if (!tried) return nothing
    const startedMs = Date.parse(tried.startedAt)
    const untilMs = Date.parse(tried.until)
    return html`<article>
      <header>
        <h3>${this.name}</h3>
        <span class="soft"
          >${moment(startedMs, this.nowMs, zone)},
          ${duration(untilMs - startedMs)}${tried.running ? html`; <strong>still running</strong>, tried up to ${moment(untilMs, this.nowMs, zone)}` : nothing}</span
        >
      </header>
      ${
        tried.untried === null
          ? html`<div class="drawn" aria-hidden="true">
                ${this.#curve(startedMs, untilMs)} ${this.#calls('now', startedMs, untilMs)}
                ${this.#calls('then', startedMs, untilMs)}
              </div>
              ${this.#words(tried)}`
          : html`<p class="soft">${UNTRIED_WORD[tried.untried]}</p>`
      }
    </article>`
  }

  #curve(fromMs: number, toMs: number) {
    const of = curveOf(this.rule)
    const column = of && this.readings?.channels[of.channel]
    if (!of || !column || column.t.length === 0) return nothing
    const by = of.perLitre ? 1 / (this.batch?.litres ?? 1) : 1
    const limits = limitOnCurve(this.rule) && this.limits ? this.limits : null
    const values = column.mean.map(value => value * by)
    const seen = limits ? [...values, limits.now, limits.then] : values
    const [least, most] = [Math.min(...seen), Math.max(...seen)]
    const spread = Math.max(most - least, of.channel === 'water' ? 1 : most * 0.05, 1e-6)
    const x = (atMs: number) => ((atMs - fromMs) / (toMs - fromMs)) * WIDTH
    const y = (value: number) => CURVE - 3 - ((value - least) / spread) * (CURVE - 6)
    // Two buckets and more without a reading are a gap.
    const gapMs = ((toMs - fromMs) / POINTS) * 3
    const path = column.t
      .map((atMs, at) => {
        // What was read of a batch that goes on may reach beyond where it was lived through.
        if (atMs < fromMs || atMs > toMs) return ''
        const before = at === 0 || (column.t[at - 1] ?? 0) < fromMs ? undefined : column.t[at - 1]
        const pen = before === undefined || atMs - before > gapMs ? 'M' : 'L'
        return `${pen}${x(atMs).toFixed(1)} ${y(values[at] ?? 0).toFixed(1)}`
      })
      .join('')
    const level = (value: number, kind: string) =>
      svg`<line class="limit ${kind}" x1="0" x2=${WIDTH} y1=${y(value)} y2=${y(value)} />`
    const say = (value: number) =>
      of.channel === 'water'
        ? shortTemperature(value, this.unit).replace(/ .*$/, '°')
        : Number(value.toPrecision(2))
    return html`<div class="scale"><span>${say(least + spread)}</span><span>${say(least)}</span></div>
      <svg class="curve" viewBox="0 0 ${WIDTH} ${CURVE}" preserveAspectRatio="none">
        <path d=${path} />
        ${limits ? [level(limits.now, 'now'), level(limits.then, 'then')] : nothing}
      </svg>`
  }

  #calls(which: 'now' | 'then', fromMs: number, toMs: number) {
    const share = (atMs: number) => Math.min(1, Math.max(0, (atMs - fromMs) / (toMs - fromMs)))
    const calls = (this.tried?.alarms ?? []).flatMap(alarm =>
      (alarm[which]?.calledAt ?? []).map(at => ({ rule: alarm.rule, atMs: Date.parse(at) })),
    )
    return html`<div class="calls ${which}">
      <b>${which === 'now' ? 'now' : 'tried'}</b>
      ${calls.map(
        ({ rule, atMs }) =>
          html`<span class="call ${rule === this.rule ? '' : 'other'}" ${place(share(atMs))}></span>`,
      )}
    </div>`
  }

  #words({ alarms, silent }: TriedBatch) {
    const aside =
      silent.then === silent.now ? '' : ` ${silent.then} silent for their cause instead of ${silent.now}.`
    if (alarms.length === 0) return html`<p class="soft">Nobody is called, now or then.${aside}</p>`
    return html`<ul class="changes">
        ${alarms.map(
          alarm =>
            html`<li class=${alarm.change}>
              <b aria-hidden="true">${CHANGE_SIGN[alarm.change]}</b> ${changeWords(alarm, this.nowMs, zone)}
            </li>`,
        )}
      </ul>
      ${aside === '' ? nothing : html`<p class="soft">${aside}</p>`}`
  }

  async #read(): Promise<void> {
    const { tried } = this
    if (!tried || tried.untried !== null) return
    try {
      const span = new URLSearchParams({ from: tried.startedAt, to: tried.until, points: String(POINTS) })
      const path = `/batches/${encodeURIComponent(tried.batchId)}/readings?${span}`
      const readings = await request<Readings>('GET', path)
      if (this.tried?.batchId === tried.batchId) this.readings = readings
    } catch {
      // The calls stand there without their curve.
    }
  }
}
customElements.define('bw-tried-strip', TriedStrip)

/** The batch went on since its readings were read, by as much as can be seen. */
function endsEarly({ startedAt, until }: TriedBatch, readings: Readings): boolean {
  const untilMs = Date.parse(until)
  return untilMs - Date.parse(readings.to) > (untilMs - Date.parse(startedAt)) / 100
}
