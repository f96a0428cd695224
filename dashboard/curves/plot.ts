import uPlot from 'uplot'
import { zone } from '../state/zone.ts'
import type { Ahead, Backdrop } from './backdrop-parts.ts'
import type { PlotData } from './columns.ts'
import { drawExpectedBand } from './expected-band.ts'
import { fitting } from './fitting.ts'
import { timeLabels, timeSpace } from './time-axis.ts'
import { drawUpperLine, reachWithUpper, type UpperLine } from './upper-line.ts'
import type { TimeWindow } from './window.ts'

export interface PlotOptions {
  readonly width: number
  readonly height: number
  /** The custom property that the line is drawn in. */
  readonly ink: string
  /** Least stretch of the value axis; it grows with the data. */
  readonly range: () => readonly [low: number, high: number]
  readonly write: (value: number) => string
  readonly syncKey: string
  readonly window: () => TimeWindow
  readonly backdrop: () => Backdrop
  /** A second probe's line; left out where there is none. */
  readonly upper?: () => UpperLine | null
  readonly onCursor: (index: number | null) => void
}

/** How everything that is plotted looks: colours are read from the page's look at the time it is made. */
export function plotLook(host: HTMLElement) {
  const style = getComputedStyle(host)
  const colour = (name: string) => style.getPropertyValue(name).trim()
  const font = '13px system-ui, "Liberation Sans", sans-serif'
  const grid = { stroke: colour('--line'), width: 1 }
  const axis = { stroke: colour('--ink-soft'), grid, ticks: { show: false }, font }
  const timeAxis: uPlot.Axis = {
    ...axis,
    space: plot => timeSpace(zone, text => textWidth(plot.ctx, text, font)),
    size: 26,
    values: (_plot, splits) =>
      timeLabels(
        splits.map(at => at * 1000),
        zone,
      ),
  }
  return { colour, axis, timeAxis }
}

/** The same for every plot of the page, so that they stand under one another in time. */
export const frameOf = (syncKey: string) =>
  ({
    padding: [8, 30, 0, 0],
    legend: { show: false },
    cursor: { drag: { x: false, y: false }, y: false, sync: { key: syncKey }, points: { size: 9 } },
  }) satisfies Partial<uPlot.Options>
export const VALUE_AXIS_PX = 54

/** One curve. */
export function makePlot(host: HTMLElement, options: PlotOptions): uPlot {
  const { colour, axis, timeAxis } = plotLook(host)
  const line = colour(options.ink)
  return new uPlot(
    {
      width: options.width,
      height: options.height,
      ...frameOf(options.syncKey),
      scales: {
        x: { time: true, range: () => [options.window().fromMs / 1000, options.window().toMs / 1000] },
        y: {
          range: (_plot, low, high) =>
            valueRange(
              low,
              high,
              reachWithUpper(options.range(), options.upper?.() ?? null, options.window()),
            ),
        },
      },
      axes: [
        timeAxis,
        { ...axis, space: 32, size: VALUE_AXIS_PX, values: (_plot, splits) => splits.map(options.write) },
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
        draw: [
          plot => drawUpperLine(plot, options.upper?.() ?? null, colour),
          plot => drawLimitNames(plot, options.backdrop(), colour),
          plot => drawCrossing(plot, options.backdrop(), colour),
          plot => drawNow(plot, options.backdrop().nowMs, colour('--ink')),
        ],
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

export function valueRange(low: number, high: number, least: readonly [number, number]): [number, number] {
  if (!Number.isFinite(low) || !Number.isFinite(high)) return [least[0], least[1]]
  const pad = Math.max((high - low) * 0.1, (least[1] - least[0]) * 0.12)
  // What cannot be negative keeps its axis at zero.
  const floor = least[0] === 0 && low >= 0 ? 0 : Math.min(least[0], low - pad)
  return [floor, Math.max(least[1], high + pad)]
}

function drawBehind(plot: uPlot, backdrop: Backdrop, colour: (name: string) => string): void {
  drawHarvest(plot, backdrop.harvest, colour, backdrop.ahead !== null)
  if (backdrop.ahead) drawAhead(plot, backdrop.ahead, colour)
  plot.ctx.save()
  for (const limit of backdrop.limits) drawLimit(plot, limit, colour)
  plot.ctx.restore()
}

/** The harvest window as a stretch of the plot's ground; with its name where there is room. */
export function drawHarvest(
  plot: uPlot,
  harvest: Backdrop['harvest'],
  colour: (name: string) => string,
  named: boolean,
): void {
  if (!harvest) return
  const { ctx, bbox } = plot
  const right = bbox.left + bbox.width
  const x = (atMs: number) => Math.min(right, Math.max(bbox.left, plot.valToPos(atMs / 1000, 'x', true)))
  const fromX = x(harvest.fromMs)
  const untilX = x(harvest.untilMs)
  if (untilX <= fromX) return
  ctx.save()
  ctx.fillStyle = `color-mix(in srgb, ${colour('--nauplii')} 26%, transparent)`
  ctx.fillRect(fromX, bbox.top, untilX - fromX, bbox.height)
  if (named) label(ctx, 'harvest', fromX + 6, bbox.top + bbox.height - 6, colour('--ink'), untilX - fromX)
  ctx.restore()
}

/** About as wide as a word in the picture is, px. */
const LABEL_PX = 70

/** What is expected: a band that widens beyond now, and its middle as a broken line. */
function drawAhead(plot: uPlot, ahead: Ahead, colour: (name: string) => string): void {
  const { t, low, middle, high } = ahead
  const { ctx, bbox } = plot
  if (t.length < 2) return
  const x = (index: number) => plot.valToPos((t[index] ?? 0) / 1000, 'x', true)
  const y = (value: number | undefined) => plot.valToPos(value ?? 0, 'y', true)
  drawExpectedBand(plot, ahead, colour, () => {
    ctx.lineWidth = 1.75 * devicePixelRatio
    ctx.setLineDash([2 * devicePixelRatio, 5 * devicePixelRatio])
    ctx.beginPath()
    t.forEach((_, index) => ctx.lineTo(x(index), y(middle[index])))
    ctx.stroke()
  })
  // Beside the band's beginning, on the side where there is more room.
  const fromX = Math.max(bbox.left, x(0)) + 6 * devicePixelRatio
  const first = (column: readonly number[]) =>
    column.filter((_, index) => x(index) < fromX + LABEL_PX * devicePixelRatio)
  const overY = y(Math.max(...first(high))) - 5 * devicePixelRatio
  const underY = y(Math.min(...first(low))) + 19 * devicePixelRatio
  const atY = overY > bbox.top + bbox.height / 3 ? overY : underY
  label(ctx, 'expected', fromX, atY, colour('--right'), bbox.left + bbox.width - fromX)
}

/** Where the line would cross its limit: a mark on the limit, as wide as that is known. */
function drawCrossing(plot: uPlot, { crossing }: Backdrop, colour: (name: string) => string): void {
  if (!crossing) return
  const { ctx, bbox } = plot
  const right = bbox.left + bbox.width
  const x = (atMs: number) => plot.valToPos(atMs / 1000, 'x', true)
  const y = plot.valToPos(crossing.value, 'y', true)
  const at = x(crossing.atMs)
  const early = Math.max(bbox.left, x(crossing.earlyMs))
  const late = Math.min(right, crossing.lateMs === null ? right : x(crossing.lateMs))
  if (late < bbox.left || early > right) return
  const ratio = devicePixelRatio
  ctx.save()
  ctx.setLineDash([])
  ctx.strokeStyle = colour('--hot')
  ctx.fillStyle = colour('--hot')
  ctx.lineWidth = 6 * ratio
  ctx.lineCap = crossing.lateMs === null ? 'butt' : 'round'
  ctx.beginPath()
  ctx.moveTo(early, y)
  ctx.lineTo(late, y)
  ctx.stroke()
  if (at >= bbox.left && at <= right) {
    ctx.lineWidth = 1.5 * ratio
    ctx.beginPath()
    ctx.moveTo(at, y)
    ctx.lineTo(at, bbox.top + bbox.height)
    ctx.stroke()
    ctx.beginPath()
    ctx.arc(at, y, 6 * ratio, 0, Math.PI * 2)
    ctx.fill()
  }
  ctx.restore()
}

/** A word in the picture, left out where there is no room for it. */
export function label(
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

/** A limit is a dashed line, and slanted strokes on the side where the water must not be. */
function drawLimit(plot: uPlot, limit: Backdrop['limits'][number], colour: (name: string) => string): void {
  const { ctx, bbox } = plot
  const ratio = devicePixelRatio
  const at = plot.valToPos(limit.value, 'y', true)
  const top = limit.side === 'above' ? bbox.top : Math.max(bbox.top, at)
  const bottom = limit.side === 'above' ? Math.min(bbox.top + bbox.height, at) : bbox.top + bbox.height
  const { left, right } = stretchOf(plot, limit)
  if (bottom <= top || right <= left) return
  const ink = colour(limit.side === 'above' ? '--hot' : '--cold')
  ctx.save()
  ctx.beginPath()
  ctx.rect(left, top, right - left, bottom - top)
  ctx.clip()
  ctx.strokeStyle = ink
  ctx.globalAlpha = 0.3
  ctx.lineWidth = ratio
  ctx.beginPath()
  const step = 9 * ratio
  const height = bottom - top
  for (let from = left - height; from < right; from += step) {
    ctx.moveTo(from, bottom)
    ctx.lineTo(from + height, top)
  }
  ctx.stroke()
  ctx.globalAlpha = 1
  ctx.lineWidth = 3 * ratio
  ctx.setLineDash([7 * ratio, 4 * ratio])
  ctx.beginPath()
  ctx.moveTo(left, at)
  ctx.lineTo(right, at)
  ctx.stroke()
  ctx.restore()
}

/** From where to where a limit held, as far as that is seen. */
function stretchOf(plot: uPlot, { fromMs, toMs }: Backdrop['limits'][number]) {
  const { bbox } = plot
  const x = (atMs: number) => plot.valToPos(atMs / 1000, 'x', true)
  return {
    left: Math.max(bbox.left, fromMs === undefined ? -Infinity : x(fromMs)),
    right: Math.min(bbox.left + bbox.width, toMs === undefined ? Infinity : x(toMs)),
  }
}

/** Over every line that crosses them. */
function drawLimitNames(plot: uPlot, { limits }: Backdrop, colour: (name: string) => string): void {
  for (const limit of limits) drawLimitName(plot, limit, colour)
}

function drawLimitName(
  plot: uPlot,
  limit: Backdrop['limits'][number],
  colour: (name: string) => string,
): void {
  const { ctx, bbox } = plot
  const ratio = devicePixelRatio
  const at = plot.valToPos(limit.value, 'y', true)
  const { left, right } = stretchOf(plot, limit)
  // Of a limit that the axis does not reach there is nothing to be named.
  if (right <= left || at < bbox.top || at > bbox.top + bbox.height) return
  ctx.font = `600 ${13 * ratio}px system-ui, "Liberation Sans", sans-serif`
  const name = fitting(limit.name, right - left - 12 * ratio, text => ctx.measureText(text).width)
  if (name === '') return
  ctx.textAlign = 'left'
  ctx.textBaseline = limit.side === 'above' ? 'top' : 'bottom'
  const ink = colour(limit.side === 'above' ? '--hot' : '--cold')
  const place = [left + 8 * ratio, limit.side === 'above' ? at + 4 * ratio : at - 4 * ratio] as const
  // What the measured line and the strokes of the shade cross is read all the same.
  ctx.save()
  ctx.setLineDash([])
  ctx.lineJoin = 'round'
  ctx.lineWidth = 4 * ratio
  ctx.strokeStyle = colour('--ground')
  ctx.strokeText(name, ...place)
  ctx.fillStyle = ink
  ctx.fillText(name, ...place)
  ctx.restore()
}

export function drawNow(plot: uPlot, nowMs: number, ink: string): void {
  const { ctx, bbox } = plot
  const at = plot.valToPos(nowMs / 1000, 'x', true)
  if (at < bbox.left || at > bbox.left + bbox.width) return
  ctx.save()
  ctx.setLineDash([])
  ctx.strokeStyle = ink
  ctx.globalAlpha = 0.8
  ctx.lineWidth = devicePixelRatio
  ctx.beginPath()
  ctx.moveTo(at, bbox.top)
  ctx.lineTo(at, bbox.top + bbox.height)
  ctx.stroke()
  ctx.restore()
}
