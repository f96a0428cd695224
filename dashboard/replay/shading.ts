import type uPlot from 'uplot'
import { label } from '../curves/plot.ts'
import type { Shade } from './diagnosed.ts'
import type { Gap } from './recording.ts'

/** What speaks for causes, each with its number, and where nothing was measured: behind a curve. */
export function drawShades(
  plot: uPlot,
  shades: readonly Shade[],
  gaps: readonly Gap[],
  colour: (name: string) => string,
): void {
  const { ctx, bbox } = plot
  const right = bbox.left + bbox.width
  const x = (atMs: number) => Math.min(right, Math.max(bbox.left, plot.valToPos(atMs / 1000, 'x', true)))
  for (const gap of gaps) drawGap(plot, x(gap.fromMs), x(gap.toMs), colour('--ink-soft'))
  ctx.save()
  let labelled = -Infinity
  for (const { fromMs, toMs, rank } of shades) {
    const from = x(fromMs)
    const wide = Math.max(2 * devicePixelRatio, x(toMs) - from)
    if (from >= right || x(toMs) <= bbox.left) continue
    const ink = colour(rank === 1 ? '--hot' : '--warm')
    ctx.fillStyle = `color-mix(in srgb, ${ink} 24%, transparent)`
    ctx.fillRect(from, bbox.top, wide, bbox.height)
    ctx.fillStyle = ink
    ctx.fillRect(from, bbox.top, wide, 4 * devicePixelRatio)
    // Numbers that would lie on one another are not written.
    if (from - labelled < 18 * devicePixelRatio) continue
    labelled = from
    label(ctx, String(rank), from + 3 * devicePixelRatio, bbox.top + 24 * devicePixelRatio, ink, Infinity)
  }
  ctx.restore()
}

function drawGap({ ctx, bbox }: uPlot, from: number, to: number, ink: string): void {
  if (to <= from) return
  const ratio = devicePixelRatio
  ctx.save()
  ctx.beginPath()
  ctx.rect(from, bbox.top, to - from, bbox.height)
  ctx.clip()
  ctx.strokeStyle = ink
  ctx.globalAlpha = 0.35
  ctx.lineWidth = ratio
  ctx.setLineDash([3 * ratio, 4 * ratio])
  ctx.beginPath()
  for (let left = from - bbox.height; left < to; left += 10 * ratio) {
    ctx.moveTo(left, bbox.top)
    ctx.lineTo(left + bbox.height, bbox.top + bbox.height)
  }
  ctx.stroke()
  ctx.globalAlpha = 1
  label(ctx, 'no readings', from + 6 * ratio, bbox.top + bbox.height - 4 * ratio, ink, to - from)
  ctx.restore()
}
