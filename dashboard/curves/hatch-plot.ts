import uPlot from 'uplot'
import type { Backdrop } from './backdrop-parts.ts'
import type { HatchData, HatchMark } from './hatch-columns.ts'
import { drawHarvest, drawNow, frameOf, label, plotLook, VALUE_AXIS_PX } from './plot.ts'
import type { TimeWindow } from './window.ts'

export interface HatchPlotOptions {
  readonly width: number
  readonly window: () => TimeWindow
  readonly nowMs: () => number
  readonly harvest: () => Backdrop['harvest']
  readonly marks: () => readonly HatchMark[]
  readonly onCursor: (index: number | null) => void
}

const HEIGHT = 190

/** The share that is out: its band, the middle, the food in it as a second quiet line, and what was seen as marks. */
export function makeHatchPlot(host: HTMLElement, options: HatchPlotOptions): uPlot {
  const { colour, axis, timeAxis } = plotLook(host)
  const out = colour('--nauplii')
  const soft = colour('--ink-soft')
  const unseen = { stroke: 'transparent', points: { show: false } }
  return new uPlot(
    {
      width: options.width,
      height: HEIGHT,
      ...frameOf('curves'),
      scales: {
        x: { time: true, range: () => [options.window().fromMs / 1000, options.window().toMs / 1000] },
        y: { range: () => [0, 105] },
      },
      axes: [
        timeAxis,
        {
          ...axis,
          splits: () => [0, 25, 50, 75, 100],
          size: VALUE_AXIS_PX,
          values: (_plot, splits) => splits.map(each => `${each} %`),
        },
      ],
      series: [
        {},
        { stroke: out, width: 2.75, points: { show: false } },
        unseen,
        unseen,
        { stroke: soft, width: 1.75, dash: [6, 5], points: { show: false } },
      ],
      bands: [{ series: [3, 2], fill: `color-mix(in srgb, ${out} 30%, transparent)` }],
      hooks: {
        drawClear: [plot => drawHarvest(plot, options.harvest(), colour, true)],
        draw: [
          plot => drawNow(plot, options.nowMs(), colour('--ink')),
          plot => options.marks().forEach(mark => drawMark(plot, mark, colour)),
        ],
        setCursor: [plot => options.onCursor(plot.cursor.idx ?? null)],
      },
    },
    [[], [], [], [], []] satisfies HatchData,
    host,
  )
}

/** First swimmers are a flag from the foot, a count is a ring where it found the share to be. */
function drawMark(plot: uPlot, mark: HatchMark, colour: (name: string) => string): void {
  const { ctx, bbox } = plot
  const x = plot.valToPos(mark.atMs / 1000, 'x', true)
  if (x < bbox.left || x > bbox.left + bbox.width) return
  const ratio = devicePixelRatio
  const foot = bbox.top + bbox.height
  const ink = colour('--ink')
  ctx.save()
  // A broken line drawn before must not break these.
  ctx.setLineDash([])
  ctx.strokeStyle = ink
  ctx.lineWidth = 2 * ratio
  if (mark.kind === 'first-swimmers') {
    ctx.fillStyle = ink
    const top = foot - 40 * ratio
    ctx.beginPath()
    ctx.moveTo(x, foot)
    ctx.lineTo(x, top)
    ctx.stroke()
    ctx.beginPath()
    ctx.moveTo(x, top)
    ctx.lineTo(x - 13 * ratio, top + 6 * ratio)
    ctx.lineTo(x, top + 12 * ratio)
    ctx.fill()
    label(ctx, 'first seen', x - 92 * ratio, top + 15 * ratio, ink, x - bbox.left)
  } else {
    const y = mark.outPercent === null ? foot : plot.valToPos(mark.outPercent, 'y', true)
    ctx.fillStyle = colour('--ground')
    ctx.beginPath()
    ctx.arc(x, y, 6.5 * ratio, 0, Math.PI * 2)
    ctx.fill()
    ctx.stroke()
    ctx.fillStyle = ink
    ctx.beginPath()
    ctx.arc(x, y, 2.5 * ratio, 0, Math.PI * 2)
    ctx.fill()
  }
  ctx.restore()
}
