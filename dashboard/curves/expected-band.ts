import type uPlot from 'uplot'

/** What is or was expected, moment by moment, in the plotted unit. */
export interface ExpectedBand {
  /** Unix ms, rising. */
  readonly t: readonly number[]
  readonly low: readonly number[]
  readonly high: readonly number[]
}

/** A band with a thin edge, within the plot alone; `then` draws on it before its clip is lifted. */
export function drawExpectedBand(
  plot: uPlot,
  { t, low, high }: ExpectedBand,
  colour: (name: string) => string,
  then: (ctx: CanvasRenderingContext2D) => void = () => undefined,
): void {
  const { ctx, bbox } = plot
  if (t.length < 2) return
  const x = (index: number) => plot.valToPos((t[index] ?? 0) / 1000, 'x', true)
  const y = (value: number | undefined) => plot.valToPos(value ?? 0, 'y', true)
  ctx.save()
  ctx.beginPath()
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height)
  ctx.clip()
  ctx.beginPath()
  t.forEach((_, index) => ctx.lineTo(x(index), y(high[index])))
  for (let index = t.length - 1; index >= 0; index--) ctx.lineTo(x(index), y(low[index]))
  ctx.closePath()
  ctx.fillStyle = colour('--expected')
  ctx.fill()
  ctx.strokeStyle = colour('--right')
  ctx.lineWidth = devicePixelRatio
  ctx.globalAlpha = 0.6
  ctx.stroke()
  ctx.globalAlpha = 1
  then(ctx)
  ctx.restore()
}
