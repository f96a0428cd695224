import type uPlot from 'uplot'

interface Numbered {
  readonly number: number
  readonly ink: string
}

/** Numbers nearer than this would lie on one another, CSS px. */
const APART_PX = 15

/** Writes each line's number beside its end, moved down where another one stands there already. */
export function drawNumbers(plot: uPlot, lines: readonly Numbered[]): void {
  const { ctx, bbox } = plot
  const ratio = devicePixelRatio
  const ends = lines
    .flatMap((line, place) => {
      const values = plot.data[place + 1] ?? []
      let last = values.length - 1
      while (last >= 0 && (values[last] ?? null) === null) last--
      if (last < 0) return []
      const x = plot.valToPos(plot.data[0][last] ?? 0, 'x', true)
      return [{ ...line, x, y: plot.valToPos(values[last] ?? 0, 'y', true) }]
    })
    .sort((a, b) => a.y - b.y)
  ctx.save()
  ctx.font = `700 ${13 * ratio}px system-ui, "Liberation Sans", sans-serif`
  ctx.textAlign = 'left'
  ctx.textBaseline = 'middle'
  let free = bbox.top
  for (const { number, ink, x, y } of ends) {
    const at = Math.min(Math.max(y, free), bbox.top + bbox.height)
    free = at + APART_PX * ratio
    ctx.fillStyle = ink
    ctx.fillText(String(number), x + 5 * ratio, at)
  }
  ctx.restore()
}
