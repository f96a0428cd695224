import { html, LitElement, nothing, unsafeCSS, type PropertyValues } from 'lit'
import type uPlot from 'uplot'
import plotStyle from 'uplot/dist/uPlot.min.css?inline'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import type { Settings } from '../../broker/web/api/schemas.ts'
import { store } from '../state/store.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { moment } from '../words/time.ts'
import { backdropOf, kindOf, reachOf } from './backdrop.ts'
import { gapMs, plotData } from './columns.ts'
import { CourseAhead } from './course.ts'
import { curvesStyle } from './curves-style.ts'
import { listen } from './gestures.ts'
import './hatch-curve.ts'
import type { WindowEvent } from './hatch-curve.ts'
import { type Curve, History } from './history.ts'
import { CURVES, MEASURED } from './measured.ts'
import { makePlot } from './plot.ts'
import { summaryTable, summaryText } from './summary.ts'
import type { UpperLine } from './upper-line.ts'
import { Span, spanWindow, stretchWindow, type TimeWindow, zoom } from './window.ts'

const SPAN_WORDS: Record<Span, string> = { batch: 'Batch', '24h': '24 h', '6h': '6 h', '1h': '1 h' }

const MOVE_ON_MS = 5_000

interface Standing {
  readonly plot: uPlot
  readonly stop: () => void
}

/** One vessel's curves: live, with limits and what is expected behind them. */
export class Curves extends LitElement {
  static override properties = {
    vessel: { attribute: false },
    settings: { attribute: false },
    span: { state: true },
    following: { state: true },
  }
  declare vessel: Vessel | null
  declare settings: Settings | null
  declare span: Span
  declare following: boolean
  readonly #history = new History(this, () => this.requestUpdate())
  readonly #ahead = new CourseAhead(this, () => {
    this.#history.changed = true
  })
  readonly #plots = new Map<Curve, Standing>()
  readonly #dark = matchMedia('(prefers-color-scheme: dark)')
  #window: TimeWindow = { fromMs: 0, toMs: 1 }
  #width = 0
  #sizes: ResizeObserver | undefined
  #shown = ''
  #clock: ReturnType<typeof setInterval> | undefined

  constructor() {
    super()
    this.vessel = null
    this.settings = null
    this.span = Span.batch
    this.following = true
  }

  static override styles = [shared, unsafeCSS(plotStyle), curvesStyle]

  override connectedCallback(): void {
    super.connectedCallback()
    addEventListener('bw-theme', this.#remake)
    this.#dark.addEventListener('change', this.#remake)
    this.#clock = setInterval(() => this.#moveOn(), MOVE_ON_MS)
    this.#sizes = new ResizeObserver(() => this.#fit())
    this.#sizes.observe(this)
  }
  override disconnectedCallback(): void {
    super.disconnectedCallback()
    removeEventListener('bw-theme', this.#remake)
    this.#dark.removeEventListener('change', this.#remake)
    this.#sizes?.disconnect()
    clearInterval(this.#clock)
    this.#drop()
  }

  override willUpdate(changed: PropertyValues<this>): void {
    const { vessel } = this
    if (!vessel) return
    this.#ahead.follow(vessel)
    const batch = vessel.batch?.id ?? ''
    if (this.#shown !== `${vessel.id}/${batch}`) {
      this.#shown = `${vessel.id}/${batch}`
      this.span = vessel.batch ? Span.batch : Span.day
      this.following = true
      this.#choose()
    } else if (changed.has('span') && changed.get('span') !== undefined) this.#choose()
    if (!this.following) return
    this.#window = this.#spanWindow()
    this.#history.follow(this.#window)
  }

  override render() {
    const { vessel, settings } = this
    if (!vessel || !settings) return nothing
    const kinds = this.#kinds()
    const spans = Object.values(Span).filter(span => span !== Span.batch || vessel.batch)
    return html`
      <div class="choices" role="group" aria-label="Span of the curves">
        ${spans.map(
          span =>
            html`<button
              class="quiet"
              aria-pressed=${this.following && this.span === span}
              @click=${() => this.#pick(span)}
            >
              ${SPAN_WORDS[span]}
            </button>`,
        )}
        <span
          ><button
            class="quiet"
            aria-label="Zoom in"
            @click=${() => this.#show(zoom(this.#window, 0.5, 0.6))}
          >
            +
          </button>
          <button
            class="quiet"
            aria-label="Zoom out"
            @click=${() => this.#show(zoom(this.#window, 0.5, 1.6))}
          >
            −
          </button></span
        >
      </div>
      ${this.#history.state === 'failed' ? html`<p class="failed" role="status">${this.#history.problem}</p>` : nothing}
      ${kinds.slice(0, 1).map(curve => this.#figure(curve, settings))}
      ${
        vessel.batch && vessel.forecast
          ? html`<bw-hatch-curve
              .vessel=${vessel}
              .course=${this.#ahead.course}
              .window=${this.#window}
              @bw-window=${(event: WindowEvent) => this.#show(event.window)}
            ></bw-hatch-curve>`
          : nothing
      }
      ${kinds.slice(1).map(curve => this.#figure(curve, settings))}
      ${summaryTable(this.#measured(), this.#history.columns, vessel, settings, this.#window, store.clock.nowMs())}
    `
  }

  #figure(curve: Curve, settings: Settings) {
    const { title } = kindOf(curve, settings)
    const saidOf = (of: Curve) => summaryText(of, this.#history.columns[of], settings, this.#window)
    const upper =
      curve === 'water' && this.#upper() ? ` Dashed, the upper probe: ${saidOf('upper-water')}` : ''
    const said = `${saidOf(curve)}${upper}`
    return html`<figure>
      <figcaption>
        <h3>${title}</h3>
        <output data-of=${curve}></output>
      </figcaption>
      <div
        class="plot"
        data-curve=${curve}
        tabindex="0"
        role="group"
        aria-roledescription="curve"
        aria-label="${title}. ${said} Arrow keys move along, plus and minus zoom."
      ></div>
    </figure>`
  }

  override updated(): void {
    // However many things changed, each plot is given its data once.
    if (this.#make() || this.#history.changed) this.#draw()
  }

  #kinds(): Curve[] {
    const measured = this.#measured()
    return CURVES.filter(
      curve => measured.includes(curve) || (curve === 'water' && measured.includes('upper-water')),
    )
  }
  #measured(): Curve[] {
    const { vessel } = this
    return MEASURED.filter(
      curve => vessel?.channels[curve] !== null || this.#history.columns[curve].t.length > 0,
    )
  }
  #upper(): UpperLine | null {
    const { settings } = this
    const { columns, bucketMs } = this.#history
    const upper = columns['upper-water']
    if (!settings || upper.t.length === 0) return null
    return {
      columns: upper,
      gapMs: gapMs(upper.t, bucketMs),
      convert: kindOf('upper-water', settings).convert,
    }
  }

  /** Shows a stretch of the past, Unix ms, with a little room on both sides. */
  look(fromMs: number, toMs: number): void {
    this.#show(stretchWindow(fromMs, toMs))
  }

  #pick(span: Span): void {
    this.following = true
    if (this.span === span) this.#choose()
    this.span = span
  }

  /** Back to a span that moves on with the clock. */
  #choose(): void {
    this.#window = this.#spanWindow()
    if (this.vessel) this.#history.show(this.vessel.id, this.#window, this.#points(), true)
    this.requestUpdate()
  }

  #spanWindow(): TimeWindow {
    const batch = this.vessel?.batch
    const forecast = this.vessel?.forecast
    // Where no hatch is in sight, its times are only how far the forecast looked.
    const until = forecast?.reachesHatch ? forecast.harvest.until : null
    return spanWindow(
      this.span,
      store.clock.nowMs(),
      batch ? { startedMs: Date.parse(batch.startedAt), untilMs: until ? Date.parse(until) : null } : null,
    )
  }

  /** A window that the person chose by hand stays where it is. */
  #show(window: TimeWindow): void {
    this.following = false
    this.#window = window
    if (this.vessel) this.#history.show(this.vessel.id, window, this.#points(), false)
    this.#history.changed = true
    this.requestUpdate()
  }

  #points(): number {
    return Math.min(1200, Math.max(300, this.#width || 600))
  }

  /** Gives each plot its data. */
  #draw(): void {
    const { settings } = this
    if (!settings || this.#plots.size === 0) return
    for (const [curve, { plot }] of this.#plots) {
      const columns = this.#history.columns[curve]
      const { bucketMs } = this.#history
      plot.setData(plotData(columns, gapMs(columns.t, bucketMs), kindOf(curve, settings).convert), true)
    }
    this.#history.changed = false
  }

  /** Makes what plots are missing; true when it made any. */
  #make(): boolean {
    const { vessel, settings } = this
    if (!vessel || !settings || this.#width === 0) return false
    let made = false
    const wanted = this.#kinds()
    for (const [curve, standing] of this.#plots) {
      if (wanted.includes(curve) && standing.plot.root.isConnected) continue
      standing.stop()
      this.#plots.delete(curve)
    }
    for (const curve of wanted) {
      if (this.#plots.has(curve)) continue
      const host = this.renderRoot.querySelector<HTMLElement>(`[data-curve=${curve}]`)
      if (!host) continue
      const kind = kindOf(curve, settings)
      const backdrop = () => backdropOf(curve, this.vessel, this.#ahead.course, settings, store.clock.nowMs())
      const plot = makePlot(host, {
        width: this.#width,
        height: kind.height,
        ink: kind.ink,
        range: () => reachOf(kind.range, backdrop(), this.#window),
        write: kind.writeAxis,
        syncKey: 'curves',
        window: () => this.#window,
        backdrop,
        ...(curve === 'water' ? { upper: () => this.#upper() } : {}),
        onCursor: index => this.#read(curve, index),
      })
      made = true
      const stop = listen(plot.over, host, { window: () => this.#window, show: window => this.#show(window) })
      this.#plots.set(curve, {
        plot,
        stop: () => {
          stop()
          plot.destroy()
        },
      })
    }
    return made
  }

  /** Without readings, now moves on all the same. */
  #moveOn(): void {
    this.#history.changed = true
    this.requestUpdate()
  }

  #drop(): void {
    for (const { stop } of this.#plots.values()) stop()
    this.#plots.clear()
  }
  readonly #remake = (): void => {
    this.#drop()
    this.requestUpdate()
  }

  #fit(): void {
    const width = Math.floor(this.clientWidth)
    if (width === this.#width || width === 0) return
    this.#width = width
    if (this.#plots.size === 0) return this.requestUpdate()
    for (const [curve, { plot }] of this.#plots)
      plot.setSize({ width, height: this.settings ? kindOf(curve, this.settings).height : 120 })
  }

  /** What the line says under the finger. */
  #read(curve: Curve, index: number | null): void {
    const output = this.renderRoot.querySelector(`output[data-of=${curve}]`)
    const plot = this.#plots.get(curve)?.plot
    if (!output || !plot || !this.settings) return
    const at = index === null ? undefined : plot.data[0][index]
    const value = index === null ? undefined : plot.data[1]?.[index]
    output.textContent =
      at === undefined || value === undefined || value === null
        ? ''
        : `${moment(at * 1000, store.clock.nowMs(), zone)}: ${kindOf(curve, this.settings).writePlotted(value)}`
  }
}
customElements.define('bw-curves', Curves)
