import uPlot from 'uplot'
import { zone } from '../state/zone.ts'
import type { PlotData } from './columns.ts'
import { timeLabels, timeSpace } from './time-axis.ts'
import type { TimeWindow } from './window.ts'

/** What is drawn behind and over the line; values in the unit that is plotted, times in Unix ms. */
export interface Backdrop {
  readonly nowMs: number
  readonly limits: readonly {
    readonly value: number
    readonly side: 'above' | 'below'
    readonly name: string
  }[]
  readonly expected: { readonly low: number; readonly high: number; readonly fromMs: number } | null
  readonly harvest: { readonly fromMs: number; readonly untilMs: number } | null
  readonly batchMs: number | null
}

export const NO_BACKDROP: Backdrop = { nowMs: 0, limits: [], expected: null, harvest: null, batchMs: null }

export interface PlotOptions {
  readonly width: number
  readonly height: number
  /** The custom property that the line is drawn in. */
  readonly ink: string
  /** Least stretch of the value axis; it grows with the data. */
  readonly range: readonly [low: number, high: number]
  readonly write: (value: number) => string
  readonly syncKey: string
  readonly window: () => TimeWindow
  readonly backdrop: () => Backdrop
  readonly onCursor: (index: number | null) => void
}

/** One curve. Colours are read from the page's look at the time it is made. */
export function makePlot(host: HTMLElement, options: PlotOptions): uPlot {
  const style = getComputedStyle(host)
  const colour = (name: string) => style.getPropertyValue(name).trim()
  const line = colour(options.ink)
  const soft = colour('--ink-soft')
  const faint = { stroke: colour('--line'), width: 1 }
  const font = '13px system-ui, "Liberation Sans", sans-serif'
  const axis = { stroke: soft, grid: faint, ticks: { show: false }, font }
  return new uPlot(
    {
      width: options.width,
      height: options.height,
      padding: [8, 30, 0, 0],
      legend: { show: false },
      cursor: { drag: { x: false, y: false }, y: false, sync: { key: options.syncKey }, points: { size: 9 } },
      scales: {
        x: { time: true, range: () => [options.window().fromMs / 1000, options.window().toMs / 1000] },
        y: { range: (_plot, low, high) => valueRange(low, high, options.range) },
      },
      axes: [
        {
          ...axis,
          space: plot => timeSpace(zone, text => textWidth(plot.ctx, text, font)),
          size: 26,
          values: (_plot, splits) =>
            timeLabels(
              splits.map(at => at * 1000),
              zone,
            ),
        },
        { ...axis, space: 32, size: 54, values: (_plot, splits) => splits.map(options.write) },
      ],
      series: [
        {},
        { stroke: line, width: 2.25, points: { fill: line, size: 4 } },
        { stroke: 'transparent', points: { show: false } },
        { stroke: 'transparent', points: { show: false } },
      ],
      bands: [{ series: [3, 2], fill: `color-mix(in srgb, ${line} 34%, transparent)` }],
      hooks: {
        drawClear: [plot => drawBehind(plot, options.backdrop(), colour)],
        draw: [plot => drawNow(plot, options.backdrop().nowMs, colour('--ink'))],
        setCursor: [plot => options.onCursor(plot.cursor.idx ?? null)],
      },
    },
    [[], [], [], []] satisfies PlotData,
    host,
  )
}

/** The width of a text in CSS px, whatever the screen's own: the font is given in those. */
function textWidth(ctx: CanvasRenderingContext2D, text: string, font: string): number {
  ctx.save()
  ctx.font = font
  const { width } = ctx.measureText(text)
  ctx.restore()
  return width
}

function valueRange(low: number, high: number, least: readonly [number, number]): [number, number] {
  if (!Number.isFinite(low) || !Number.isFinite(high)) return [least[0], least[1]]
  const pad = Math.max((high - low) * 0.1, (least[1] - least[0]) * 0.12)
  // What cannot be negative keeps its axis at zero.
  const floor = least[0] === 0 && low >= 0 ? 0 : Math.min(least[0], low - pad)
  return [floor, Math.max(least[1], high + pad)]
}

function drawBehind(plot: uPlot, backdrop: Backdrop, colour: (name: string) => string): void {
  const { ctx, bbox } = plot
  const right = bbox.left + bbox.width
  const bottom = bbox.top + bbox.height
  const x = (atMs: number) => Math.min(right, Math.max(bbox.left, plot.valToPos(atMs / 1000, 'x', true)))
  const y = (value: number) => Math.min(bottom, Math.max(bbox.top, plot.valToPos(value, 'y', true)))
  ctx.save()
  if (backdrop.harvest) {
    const fromX = x(backdrop.harvest.fromMs)
    const untilX = x(backdrop.harvest.untilMs)
    if (untilX > fromX) {
      ctx.fillStyle = `color-mix(in srgb, ${colour('--nauplii')} 26%, transparent)`
      ctx.fillRect(fromX, bbox.top, untilX - fromX, bbox.height)
      if (backdrop.expected) label(ctx, 'harvest', fromX + 6, bottom - 6, colour('--ink'), untilX - fromX)
    }
  }
  if (backdrop.expected) {
    const { low, high, fromMs } = backdrop.expected
    const fromX = x(fromMs)
    const batchX = backdrop.batchMs === null ? fromX : x(backdrop.batchMs)
    ctx.fillStyle = colour('--expected')
    ctx.fillRect(fromX, y(high), right - fromX, y(low) - y(high))
    // Earlier water was not expected by this forecast: there the band is only a guide for the eye.
    ctx.globalAlpha = 0.4
    ctx.fillRect(batchX, y(high), Math.max(0, fromX - batchX), y(low) - y(high))
    ctx.globalAlpha = 1
    label(ctx, 'expected', batchX + 8, y(low) + 18 * devicePixelRatio, colour('--right'), right - batchX)
  }
  for (const limit of backdrop.limits) drawLimit(plot, limit, colour)
  ctx.restore()
}

/** A word in the picture, left out where there is no room for it. */
function label(
  ctx: CanvasRenderingContext2D,
  text: string,
  x: number,
  y: number,
  ink: string,
  room: number,
): void {
  ctx.font = `600 ${13 * devicePixelRatio}px system-ui, "Liberation Sans", sans-serif`
  ctx.textAlign = 'left'
  ctx.textBaseline = 'bottom'
  ctx.fillStyle = ink
  if (ctx.measureText(text).width + 12 < room) ctx.fillText(text, x, y)
}

/** A limit is a dashed line with its name, and slanted strokes on the side where the water must not be. */
function drawLimit(plot: uPlot, limit: Backdrop['limits'][number], colour: (name: string) => string): void {
  const { ctx, bbox } = plot
  const ratio = devicePixelRatio
  const at = plot.valToPos(limit.value, 'y', true)
  const top = limit.side === 'above' ? bbox.top : Math.max(bbox.top, at)
  const bottom = limit.side === 'above' ? Math.min(bbox.top + bbox.height, at) : bbox.top + bbox.height
  if (bottom <= top) return
  const ink = colour(limit.side === 'above' ? '--hot' : '--cold')
  ctx.save()
  ctx.beginPath()
  ctx.rect(bbox.left, top, bbox.width, bottom - top)
  ctx.clip()
  ctx.strokeStyle = ink
  ctx.globalAlpha = 0.3
  ctx.lineWidth = ratio
  ctx.beginPath()
  const step = 9 * ratio
  const height = bottom - top
  for (let left = bbox.left - height; left < bbox.left + bbox.width; left += step) {
    ctx.moveTo(left, bottom)
    ctx.lineTo(left + height, top)
  }
  ctx.stroke()
  ctx.globalAlpha = 1
  ctx.lineWidth = 3 * ratio
  ctx.setLineDash([7 * ratio, 4 * ratio])
  ctx.beginPath()
  ctx.moveTo(bbox.left, at)
  ctx.lineTo(bbox.left + bbox.width, at)
  ctx.stroke()
  ctx.restore()
  ctx.fillStyle = ink
  ctx.font = `600 ${13 * ratio}px system-ui, "Liberation Sans", sans-serif`
  ctx.textAlign = 'left'
  ctx.textBaseline = limit.side === 'above' ? 'top' : 'bottom'
  ctx.fillText(limit.name, bbox.left + 8 * ratio, limit.side === 'above' ? at + 4 * ratio : at - 4 * ratio)
}

function drawNow(plot: uPlot, nowMs: number, ink: string): void {
  const { ctx, bbox } = plot
  const at = plot.valToPos(nowMs / 1000, 'x', true)
  if (at < bbox.left || at > bbox.left + bbox.width) return
  ctx.save()
  ctx.strokeStyle = ink
  ctx.globalAlpha = 0.8
  ctx.lineWidth = devicePixelRatio
  ctx.beginPath()
  ctx.moveTo(at, bbox.top)
  ctx.lineTo(at, bbox.top + bbox.height)
  ctx.stroke()
  ctx.restore()
}
