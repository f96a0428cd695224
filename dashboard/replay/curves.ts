import { html, LitElement, nothing, unsafeCSS, type PropertyValues } from 'lit'
import type uPlot from 'uplot'
import plotStyle from 'uplot/dist/uPlot.min.css?inline'
import type { Settings } from '../../broker/web/api/schemas.ts'
import { backdropOf, kindOf, reachOf } from '../curves/backdrop.ts'
import type { Backdrop } from '../curves/backdrop-parts.ts'
import { plotData } from '../curves/columns.ts'
import { drawExpectedBand, type ExpectedBand } from '../curves/expected-band.ts'
import { hatchColumns, marksOf } from '../curves/hatch-columns.ts'
import { makeHatchPlot } from '../curves/hatch-plot.ts'
import { CURVES, type Curve } from '../curves/measured.ts'
import { makePlot, plotLook } from '../curves/plot.ts'
import { summaryText } from '../curves/summary.ts'
import { stretchWindow, type TimeWindow } from '../curves/window.ts'
import { shared } from '../style/shared.ts'
import { curvesKey } from './curves-key.ts'
import { replayCurvesStyle } from './curves-style.ts'
import type { Shade, Shaded } from './diagnosed.ts'
import { MomentEvent } from './moment-event.ts'
import { vesselThen } from './picture-then.ts'
import { gapsOf, type Recording, saidAt } from './recording.ts'
import { joined, settingsThen } from './limits-then.ts'
import { drawShades } from './shading.ts'
import { outThen, saidText } from './words.ts'

/** How much of the batch the curves show, h; `null` is all of it. */
const WIDTHS = [null, 6, 1] as const
type Width = (typeof WIDTHS)[number]
const HOUR_MS = 3_600_000
/** A window that follows the handle goes on once it is so near an edge, as a share of the window. */
const EDGE = 0.12

interface Standing {
  readonly plot: uPlot
  readonly line: HTMLElement
  readonly said: HTMLElement | null
}

/** The batch's curves with the moment on them. Drawn once; a moment moves a line over them and draws nothing. */
export class ReplayCurves extends LitElement {
  static override properties = {
    recording: { attribute: false },
    settings: { attribute: false },
    shades: { attribute: false },
    atMs: { attribute: false },
    width: { state: true },
  }
  declare recording: Recording | null
  declare settings: Settings | null
  declare shades: readonly Shade[]
  /** Unix ms. */
  declare atMs: number
  declare width: Width
  readonly #plots = new Map<Shaded, Standing>()
  readonly #dark = matchMedia('(prefers-color-scheme: dark)')
  readonly #sizes = new ResizeObserver(() => this.#fit())
  #window: TimeWindow = { fromMs: 0, toMs: 1 }
  #wide = 0

  constructor() {
    super()
    this.recording = null
    this.settings = null
    this.shades = []
    this.atMs = 0
    this.width = null
  }

  static override styles = [shared, unsafeCSS(plotStyle), replayCurvesStyle]

  override connectedCallback(): void {
    super.connectedCallback()
    addEventListener('bw-theme', this.#remake)
    this.#dark.addEventListener('change', this.#remake)
    this.#sizes.observe(this)
  }
  override disconnectedCallback(): void {
    super.disconnectedCallback()
    removeEventListener('bw-theme', this.#remake)
    this.#dark.removeEventListener('change', this.#remake)
    this.#sizes.disconnect()
    this.#drop()
  }

  protected override shouldUpdate(changed: PropertyValues<this>): boolean {
    // A moment alone is not worth a rendering: a line moves, and a few words.
    if (changed.size > 1 || !changed.has('atMs') || this.#plots.size === 0) return true
    this.#place()
    return false
  }

  override render() {
    const { recording, settings } = this
    if (!recording || !settings) return nothing
    return html`<div class="widths" role="group" aria-label="How much the curves show">
        ${WIDTHS.map(
          width =>
            html`<button
              class="quiet"
              aria-pressed=${this.width === width}
              @click=${() => (this.width = width)}
            >
              ${width === null ? 'All of it' : `${width} h`}
            </button>`,
        )}
      </div>
      ${this.#shown().map(which => this.#figure(which, recording, settings))}
      <p class="key soft">
        ${curvesKey(recording, this.shades).map(({ sign, words }) => html`<span><i class=${sign}></i> ${words}</span>`)}
      </p>`
  }

  #figure(which: Shaded, recording: Recording, settings: Settings) {
    const title = which === 'hatched' ? 'Out, of all nauplii that will come' : kindOf(which, settings).title
    const channel = which === 'hatched' ? undefined : recording.channels[which]
    const whole = { fromMs: recording.fromMs, toMs: recording.toMs }
    const second = which === 'water' ? recording.channels['upper-water'] : undefined
    const upper = second
      ? ` Dashed, the upper probe: ${summaryText('upper-water', second.columns, settings, whole)}`
      : ''
    const said = (channel ? summaryText(which as Curve, channel.columns, settings, whole) : '') + upper
    return html`<figure>
      <figcaption>
        <h3>${title}</h3>
        <span class="said-then" data-of=${which}></span>
      </figcaption>
      <div
        class="plot"
        data-curve=${which}
        role="img"
        aria-label="${title} over the whole batch. ${said}"
        @pointerdown=${this.#down}
        @pointermove=${this.#move}
      >
        <div class="moment"></div>
      </div>
    </figure>`
  }

  protected override updated(changed: PropertyValues<this>): void {
    if (changed.has('recording') && changed.get('recording')) this.#drop()
    this.#window = this.#windowAt(this.atMs)
    const made = this.#make()
    if (made || changed.has('recording') || changed.has('width') || changed.has('shades')) this.#draw()
    this.#place()
  }

  #shown(): Shaded[] {
    const { recording } = this
    const measured = CURVES.filter(curve => recording?.channels[curve])
    if (recording?.channels['upper-water'] && measured[0] !== 'water') measured.unshift('water')
    return measured[0] === 'water' ? ['water', 'hatched', ...measured.slice(1)] : ['hatched', ...measured]
  }

  /** All of it with what is to come, or so many hours about a moment. */
  #windowAt(atMs: number): TimeWindow {
    const { recording } = this
    if (!recording) return this.#window
    const { fromMs, toMs, replay } = recording
    if (this.width === null) {
      const { batch, forecast } = replay
      const ahead =
        batch.endedAt === null && forecast.reachesHatch ? Date.parse(forecast.harvest.until) : toMs
      return stretchWindow(fromMs, Math.max(toMs, ahead))
    }
    const lengthMs = this.width * HOUR_MS
    const place = (atMs - this.#window.fromMs) / lengthMs
    const same = Math.abs(this.#window.toMs - this.#window.fromMs - lengthMs) < 1
    if (same && place > EDGE && place < 1 - EDGE) return this.#window
    return { fromMs: atMs - lengthMs / 2, toMs: atMs + lengthMs / 2 }
  }

  #make(): boolean {
    const { recording, settings } = this
    if (!recording || !settings || this.#wide === 0) return false
    let made = false
    for (const which of this.#shown()) {
      const host = this.renderRoot.querySelector<HTMLElement>(`[data-curve=${which}]`)
      if (!host || this.#plots.get(which)?.plot.root.parentElement === host) continue
      const plot =
        which === 'hatched' ? this.#hatched(host, recording) : this.#plot(host, which, recording, settings)
      const { colour } = plotLook(host)
      const channel = which === 'hatched' ? undefined : recording.channels[which]
      const gaps = channel ? gapsOf(channel, recording.fromMs, recording.toMs) : []
      const behind = () => {
        const shades = this.shades.filter(({ on }) => on === which)
        drawShades(plot, shades, gaps, colour)
        if (which === 'water')
          drawExpectedBand(plot, expectedThen(recording, kindOf(which, settings).convert), colour)
      }
      plot.hooks.drawClear = [behind, ...(plot.hooks.drawClear ?? [])]
      const line = host.querySelector<HTMLElement>('.moment')!
      const said = this.renderRoot.querySelector<HTMLElement>(`[data-of=${which}]`)
      this.#plots.set(which, { plot, line, said })
      made = true
    }
    return made
  }

  #hatched(host: HTMLElement, { replay, toMs }: Recording): uPlot {
    const { batch, forecast, events } = replay
    const vessel = { batch, forecast } as Parameters<typeof marksOf>[1]
    return makeHatchPlot(host, {
      width: this.#wide,
      window: () => this.#window,
      nowMs: () => toMs,
      harvest: () =>
        forecast.reachesHatch
          ? { fromMs: Date.parse(forecast.harvest.from), untilMs: Date.parse(forecast.harvest.until) }
          : null,
      marks: () => marksOf(events, vessel),
      onCursor: () => undefined,
    })
  }

  #plot(host: HTMLElement, curve: Curve, recording: Recording, settings: Settings): uPlot {
    const kind = kindOf(curve, settings)
    const backdrop = this.#backdrop(curve, recording, settings)
    const second = recording.channels['upper-water']
    const upper = second ? { ...second, convert: kind.convert } : null
    return makePlot(host, {
      width: this.#wide,
      height: kind.height,
      ink: kind.ink,
      range: () => reachOf(kind.range, backdrop, this.#window),
      write: kind.writeAxis,
      syncKey: 'replay',
      window: () => this.#window,
      backdrop: () => backdrop,
      ...(curve === 'water' ? { upper: () => upper } : {}),
      onCursor: () => undefined,
    })
  }

  /** Limits, the harvest window, and for an open batch what is to come. */
  #backdrop(curve: Curve, recording: Recording, settings: Settings): Backdrop {
    const { replay, toMs } = recording
    const vessel = { ...vesselThen(recording, toMs), forecast: replay.forecast }
    const now = backdropOf(curve, vessel, replay.course, settings, toMs)
    const limits = joined(
      settingsThen(replay, settings).flatMap(({ then, ...held }) =>
        backdropOf(curve, vessel, null, then, toMs).limits.map(limit => ({ ...limit, ...held })),
      ),
    )
    const backdrop = { ...now, limits }
    return replay.batch.endedAt === null ? backdrop : { ...backdrop, ahead: null, crossing: null }
  }

  #draw(): void {
    const { recording, settings } = this
    if (!recording || !settings) return
    for (const [which, { plot }] of this.#plots) {
      if (which === 'hatched') plot.setData(hatchColumns(recording.replay.course), true)
      else {
        const channel = recording.channels[which]
        if (channel)
          plot.setData(plotData(channel.columns, channel.gapMs, kindOf(which, settings).convert), true)
      }
    }
  }

  /** The moment, as a line over each curve and in words beside its name. */
  #place(): void {
    const { recording, settings, atMs } = this
    if (!recording || !settings) return
    const next = this.#windowAt(atMs)
    if (next !== this.#window && (next.fromMs !== this.#window.fromMs || next.toMs !== this.#window.toMs)) {
      this.#window = next
      for (const { plot } of this.#plots.values()) plot.setData(plot.data, true)
    }
    const share = (atMs - this.#window.fromMs) / (this.#window.toMs - this.#window.fromMs)
    for (const [which, { plot, line, said }] of this.#plots) {
      const { left, width } = plot.bbox
      const x = (left + width * Math.min(1, Math.max(0, share))) / devicePixelRatio
      line.style.transform = `translateX(${x.toFixed(1)}px)`
      if (!said) continue
      said.textContent =
        which === 'hatched'
          ? outThen(recording, atMs)
          : saidText(which, saidAt(recording.channels[which], atMs), atMs, settings.temperatureUnit)
    }
  }

  #drop(): void {
    for (const { plot } of this.#plots.values()) plot.destroy()
    this.#plots.clear()
  }
  readonly #remake = (): void => {
    this.#drop()
    this.requestUpdate()
  }

  #fit(): void {
    const wide = Math.floor(this.clientWidth)
    if (wide === this.#wide || wide === 0) return
    this.#wide = wide
    for (const { plot } of this.#plots.values()) plot.setSize({ width: wide, height: plot.height })
    this.requestUpdate()
  }

  readonly #down = (event: PointerEvent): void => {
    if (event.button !== 0) return
    const host = event.currentTarget as HTMLElement
    host.setPointerCapture(event.pointerId)
    this.#toPointer(event, host)
  }
  readonly #move = (event: PointerEvent): void => {
    const host = event.currentTarget as HTMLElement
    if (host.hasPointerCapture(event.pointerId)) this.#toPointer(event, host)
  }
  #toPointer({ clientX }: PointerEvent, host: HTMLElement): void {
    const plot = this.#plots.get(host.dataset['curve'] as Shaded)?.plot
    const { recording } = this
    if (!plot || !recording) return
    const box = plot.over.getBoundingClientRect()
    const share = (clientX - box.left) / Math.max(1, box.width)
    const atMs = this.#window.fromMs + share * (this.#window.toMs - this.#window.fromMs)
    this.dispatchEvent(new MomentEvent(Math.min(recording.toMs, Math.max(recording.fromMs, atMs))))
  }
}
customElements.define('bw-replay-curves', ReplayCurves)

/** What the water had been expected to be half an hour before, in the plotted unit. */
function expectedThen({ replay }: Recording, convert: (waterC: number) => number): ExpectedBand {
  const { t, p10, p90 } = replay.expectedWaterC
  return { t, low: p10.map(convert), high: p90.map(convert) }
}
