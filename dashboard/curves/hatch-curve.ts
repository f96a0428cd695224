import { html, LitElement, nothing, unsafeCSS, type PropertyValues } from 'lit'
import type uPlot from 'uplot'
import plotStyle from 'uplot/dist/uPlot.min.css?inline'
import type { Course } from '../../broker/web/api/events.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import { BatchLog } from '../state/batch-log.ts'
import { store } from '../state/store.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { outText } from '../words/hatch.ts'
import { moment } from '../words/time.ts'
import { harvestOf } from './backdrop.ts'
import { curvesStyle } from './curves-style.ts'
import { listen } from './gestures.ts'
import { hatchColumns, hatchText, marksOf } from './hatch-columns.ts'
import { makeHatchPlot } from './hatch-plot.ts'
import type { TimeWindow } from './window.ts'

/** Asks for another stretch of time on all curves. */
export class WindowEvent extends Event {
  readonly window: TimeWindow
  constructor(window: TimeWindow) {
    super('bw-window', { bubbles: true, composed: true })
    this.window = window
  }
}

/** The share that is out over the whole batch, as sure as it is, with what people saw of it. */
export class HatchCurve extends LitElement {
  static override properties = {
    vessel: { attribute: false },
    course: { attribute: false },
    window: { attribute: false },
  }
  declare vessel: Vessel | null
  declare course: Course | null
  declare window: TimeWindow
  readonly #log = new BatchLog(this)
  readonly #dark = matchMedia('(prefers-color-scheme: dark)')
  #plot: uPlot | null = null
  #stop: (() => void) | undefined
  #width = 0
  #sizes: ResizeObserver | undefined

  constructor() {
    super()
    this.vessel = null
    this.course = null
    this.window = { fromMs: 0, toMs: 1 }
  }

  static override styles = [shared, unsafeCSS(plotStyle), curvesStyle]

  override connectedCallback(): void {
    super.connectedCallback()
    addEventListener('bw-theme', this.#remake)
    this.#dark.addEventListener('change', this.#remake)
    this.#sizes = new ResizeObserver(() => this.#fit())
    this.#sizes.observe(this)
  }
  override disconnectedCallback(): void {
    super.disconnectedCallback()
    removeEventListener('bw-theme', this.#remake)
    this.#dark.removeEventListener('change', this.#remake)
    this.#sizes?.disconnect()
    this.#drop()
  }

  override willUpdate(changed: PropertyValues<this>): void {
    if (changed.has('vessel')) this.#log.follow(this.vessel?.batch?.id ?? null)
  }

  override render() {
    const { vessel } = this
    if (!vessel?.forecast) return nothing
    return html`<figure>
      <figcaption>
        <h3>Hatched</h3>
        <output></output>
      </figcaption>
      <div
        class="plot"
        tabindex="0"
        role="group"
        aria-roledescription="curve"
        aria-label="Hatched. ${outText(vessel.forecast)} Arrow keys move along, plus and minus zoom."
      ></div>
      <p class="key">
        <span><i class="out"></i> out, of all nauplii that will come, as sure as it is</span>
        <span><i class="food"></i> food in it, of its best</span>
      </p>
    </figure>`
  }

  override updated(): void {
    this.#make()
    const data = hatchColumns(this.course)
    this.#plot?.setData(data, true)
  }

  #make(): void {
    const host = this.renderRoot.querySelector<HTMLElement>('.plot')
    if (this.#plot && this.#plot.root.parentElement === host) return
    this.#drop()
    if (!host || this.#width === 0) return
    const plot = makeHatchPlot(host, {
      width: this.#width,
      window: () => this.window,
      nowMs: () => store.clock.nowMs(),
      harvest: () => (this.vessel ? harvestOf(this.vessel) : null),
      marks: () => marksOf(this.#log.events, this.vessel),
      onCursor: index => this.#read(index),
    })
    const stop = listen(plot.over, host, {
      window: () => this.window,
      show: window => this.dispatchEvent(new WindowEvent(window)),
    })
    this.#plot = plot
    this.#stop = () => {
      stop()
      plot.destroy()
    }
  }

  #drop(): void {
    this.#stop?.()
    this.#stop = undefined
    this.#plot = null
  }
  readonly #remake = (): void => {
    this.#drop()
    this.requestUpdate()
  }

  #fit(): void {
    const width = Math.floor(this.clientWidth)
    if (width === this.#width || width === 0) return
    this.#width = width
    if (this.#plot) this.#plot.setSize({ width, height: this.#plot.height })
    else this.requestUpdate()
  }

  /** What the curve says under the finger. */
  #read(index: number | null): void {
    const output = this.renderRoot.querySelector('output')
    const atMs = index === null ? undefined : this.course?.t[index]
    if (!output) return
    const said = index === null ? '' : hatchText(this.course, index)
    output.textContent =
      atMs === undefined || said === '' ? '' : `${moment(atMs, store.clock.nowMs(), zone)}: ${said}`
  }
}
customElements.define('bw-hatch-curve', HatchCurve)
