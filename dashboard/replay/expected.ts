import type uPlot from 'uplot'
import type { Replay } from '../../broker/web/api/replay.ts'

/** What the water had been expected to be half an hour before, as a band behind its line; `convert` is to the plotted unit. */
export function drawExpected(
  plot: uPlot,
  { t, p10, p90 }: Replay['expectedWaterC'],
  convert: (waterC: number) => number,
  colour: (name: string) => string,
): void {
  const { ctx, bbox } = plot
  if (t.length < 2) return
  const x = (index: number) => plot.valToPos((t[index] ?? 0) / 1000, 'x', true)
  const y = (waterC: number | undefined) => plot.valToPos(convert(waterC ?? 0), 'y', true)
  ctx.save()
  ctx.beginPath()
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height)
  ctx.clip()
  ctx.beginPath()
  t.forEach((_, index) => ctx.lineTo(x(index), y(p90[index])))
  for (let index = t.length - 1; index >= 0; index--) ctx.lineTo(x(index), y(p10[index]))
  ctx.closePath()
  ctx.fillStyle = colour('--expected')
  ctx.fill()
  ctx.strokeStyle = colour('--right')
  ctx.lineWidth = devicePixelRatio
  ctx.globalAlpha = 0.6
  ctx.stroke()
  ctx.restore()
}
