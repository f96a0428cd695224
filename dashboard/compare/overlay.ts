import { css, html, LitElement, nothing, type PropertyValues, unsafeCSS } from 'lit'
import uPlot from 'uplot'
import plotStyle from 'uplot/dist/uPlot.min.css?inline'
import type { ComparedBatch } from '../../broker/web/api/compare.ts'
import type { Settings } from '../../broker/web/api/schemas.ts'
import { kindOf } from '../curves/backdrop.ts'
import { frameOf, plotLook, VALUE_AXIS_PX, valueRange } from '../curves/plot.ts'
import { shared } from '../style/shared.ts'
import { AlignBy, aligned, resampled } from './align.ts'
import { drawNumbers } from './line-numbers.ts'
import { lineMark } from './marks.ts'

export interface Drawn {
  readonly batch: ComparedBatch
  /** By which it is told apart, on the plots, on the small pictures and in the table. */
  readonly number: number
}

const CURVES = ['waterC', 'hatched', 'airLpm', 'lightLx'] as const
type Which = (typeof CURVES)[number]

/** Curves of several batches over each other, each with its number at the end of its line. */
export class Overlay extends LitElement {
  static override properties = {
    drawn: { attribute: false },
    by: { attribute: false },
    settings: { attribute: false },
  }
  declare drawn: readonly Drawn[]
  declare by: AlignBy
  declare settings: Settings | null
  readonly #plots: uPlot[] = []
  readonly #dark = matchMedia('(prefers-color-scheme: dark)')
  readonly #sizes = new ResizeObserver(() => this.#fit())
  #wide = 0

  constructor() {
    super()
    this.drawn = []
    this.by = AlignBy.start
    this.settings = null
  }

  static override styles = [
    shared,
    unsafeCSS(plotStyle),
    css`
      :host {
        display: grid;
        gap: 16px;
        min-width: 0;
      }
      figure {
        margin: 0;
        min-width: 0;
      }
      figcaption {
        font-weight: 650;
      }
    `,
  ]

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

  override render() {
    const { settings } = this
    if (!settings) return nothing
    return this.#shown().map(which => {
      const title = titleOf(which, settings)
      return html`<figure>
        <figcaption>${title}</figcaption>
        <div
          data-curve=${which}
          role="img"
          aria-label="${title} of ${this.drawn.length} batches over each other, ${AXIS_WORDS[this.by]}. Their figures are in the table below."
        ></div>
      </figure>`
    })
  }

  protected override updated(_: PropertyValues<this>): void {
    this.#drop()
    this.#make()
  }

  #shown(): Which[] {
    return CURVES.filter(which => this.drawn.some(({ batch }) => batch[which] !== null))
  }

  #make(): void {
    const { settings, drawn, by } = this
    if (!settings || this.#wide === 0 || drawn.length === 0) return
    const { h, atS } = aligned(
      drawn.map(({ batch }) => batch),
      by,
    )
    for (const which of this.#shown()) {
      const host = this.renderRoot.querySelector<HTMLElement>(`[data-curve=${which}]`)
      if (!host) continue
      const convert = scaleOf(which, settings)
      const columns = drawn.map(({ batch }, place) => {
        const [curve, at] = [batch[which], atS[place]]
        if (!curve || !at) return h.map(() => null)
        return resampled(curve, at).map(value => (value === null ? null : convert(value)))
      })
      this.#plots.push(this.#plot(host, which, settings, [[...h], ...columns]))
    }
  }

  #plot(host: HTMLElement, which: Which, settings: Settings, data: uPlot.AlignedData): uPlot {
    const { colour, axis } = plotLook(host)
    const { range, write, height } = axisOf(which, settings)
    const marks = this.drawn.map((_, place) => lineMark(place))
    return new uPlot(
      {
        width: this.#wide,
        height,
        ...frameOf('compare'),
        scales: {
          x: { time: false },
          y: { range: (_plot, low, high) => valueRange(low, high, range) },
        },
        axes: [
          { ...axis, size: 26, space: 48, values: (_plot, splits) => splits.map(at => `${at} h`) },
          { ...axis, space: 32, size: VALUE_AXIS_PX, values: (_plot, splits) => splits.map(write) },
        ],
        series: [
          {},
          ...marks.map(({ ink, dash }) => ({
            stroke: colour(ink),
            width: 2.25,
            dash: [...dash],
            points: { show: false },
          })),
        ],
        hooks: {
          draw: [
            plot =>
              drawNumbers(
                plot,
                this.drawn.map(({ number }, place) => ({
                  number,
                  ink: colour(marks[place]?.ink ?? '--ink'),
                })),
                colour('--ground'),
              ),
          ],
        },
      },
      data,
      host,
    )
  }

  #drop(): void {
    for (const plot of this.#plots.splice(0)) plot.destroy()
  }
  readonly #remake = (): void => this.requestUpdate()

  #fit(): void {
    const wide = Math.floor(this.clientWidth)
    if (wide === this.#wide || wide === 0) return
    this.#wide = wide
    this.requestUpdate()
  }
}
customElements.define('bw-overlay', Overlay)

/** What nought is, for whoever hears it. */
export const AXIS_WORDS: Record<AlignBy, string> = {
  start: 'in hours from the start',
  soaked: 'in hours from when the cysts had taken up water',
  t10: 'in hours from when a tenth was out',
}

const CURVE_OF = { waterC: 'water', airLpm: 'air', lightLx: 'light' } as const

function titleOf(which: Which, settings: Settings): string {
  return which === 'hatched' ? 'Out, of all nauplii that will come' : kindOf(CURVE_OF[which], settings).title
}

function scaleOf(which: Which, settings: Settings): (value: number) => number {
  return which === 'hatched' ? share => share * 100 : kindOf(CURVE_OF[which], settings).convert
}

function axisOf(which: Which, settings: Settings) {
  if (which === 'hatched')
    return { range: [0, 100] as const, write: (value: number) => `${Math.round(value)} %`, height: 170 }
  const { range, writeAxis, height } = kindOf(CURVE_OF[which], settings)
  return { range, write: writeAxis, height: which === 'waterC' ? height : 120 }
}
