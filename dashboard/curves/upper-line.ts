import type uPlot from 'uplot'
import type { CurveColumns } from './columns.ts'
import type { TimeWindow } from './window.ts'

/** A second water probe's readings, and how long a silence breaks its line, ms. */
export interface UpperLine {
  readonly columns: CurveColumns
  readonly gapMs: number
  readonly convert: (value: number) => number
}

/** The second line of the water: dashed and named, so that no colour is needed to tell the two apart. */
export function drawUpperLine(plot: uPlot, upper: UpperLine | null, colour: (name: string) => string): void {
  const { columns, gapMs, convert } = upper ?? { columns: null, gapMs: 0, convert: (value: number) => value }
  if (!columns || columns.t.length === 0) return
  const { ctx, bbox } = plot
  const ratio = devicePixelRatio
  const right = bbox.left + bbox.width
  ctx.save()
  ctx.beginPath()
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height)
  ctx.clip()
  ctx.strokeStyle = colour('--ink')
  ctx.lineWidth = 1.75 * ratio
  ctx.setLineDash([6 * ratio, 5 * ratio])
  ctx.beginPath()
  let before = -Infinity
  let last: { readonly x: number; readonly y: number } | null = null
  columns.t.forEach((at, index) => {
    const x = plot.valToPos(at / 1000, 'x', true)
    const y = plot.valToPos(convert(columns.mean[index] ?? 0), 'y', true)
    if (at - before > gapMs) ctx.moveTo(x, y)
    else ctx.lineTo(x, y)
    before = at
    if (x >= bbox.left && x <= right) last = { x, y }
  })
  ctx.stroke()
  ctx.restore()
  if (last !== null) writeName(plot, last, colour)
}

/** Beside the end of the line, on a ground of its own, above it where there is room. */
function writeName(
  plot: uPlot,
  end: { readonly x: number; readonly y: number },
  colour: (name: string) => string,
) {
  const { ctx, bbox } = plot
  const ratio = devicePixelRatio
  const name = 'upper probe'
  ctx.save()
  ctx.font = `600 ${13 * ratio}px system-ui, "Liberation Sans", sans-serif`
  ctx.textAlign = 'right'
  ctx.textBaseline = 'bottom'
  const least = bbox.left + ctx.measureText(name).width + 8 * ratio
  const x = Math.max(least, Math.min(end.x, bbox.left + bbox.width) - 6 * ratio)
  const room = end.y - bbox.top > 24 * ratio
  const y = room ? end.y - 6 * ratio : end.y + 22 * ratio
  ctx.lineWidth = 4 * ratio
  ctx.lineJoin = 'round'
  ctx.strokeStyle = colour('--ground')
  ctx.strokeText(name, x, y)
  ctx.fillStyle = colour('--ink')
  ctx.fillText(name, x, y)
  ctx.restore()
}

/** The least stretch of the value axis, wide enough for the second line within the window. */
export function reachWithUpper(
  [low, high]: readonly [number, number],
  upper: UpperLine | null,
  { fromMs, toMs }: TimeWindow,
): readonly [number, number] {
  if (!upper) return [low, high]
  const { columns, convert } = upper
  columns.t.forEach((at, index) => {
    if (at < fromMs || at > toMs) return
    const value = convert(columns.mean[index] ?? 0)
    low = Math.min(low, value)
    high = Math.max(high, value)
  })
  return [low, high]
}
