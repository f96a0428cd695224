import type uPlot from 'uplot'
import { spread } from './spread.ts'

interface Numbered {
  readonly number: number
  readonly ink: string
}
interface End extends Numbered {
  readonly x: number
  readonly y: number
}

/** Numbers nearer than this would touch, CSS px. */
const APART_PX = 16
/** Lines that end so far from each other have room for their numbers at any height, CSS px. */
const BESIDE_PX = 30
/** A number that was moved further than this is led to from its line, CSS px. */
const LED_PX = 5

/** Writes each line's number beside its end, apart from those of others that end there, on a ground of its own. */
export function drawNumbers(plot: uPlot, lines: readonly Numbered[], ground: string): void {
  const { ctx, bbox } = plot
  const ratio = devicePixelRatio
  ctx.save()
  ctx.font = `700 ${13 * ratio}px system-ui, "Liberation Sans", sans-serif`
  ctx.textAlign = 'left'
  ctx.textBaseline = 'middle'
  ctx.lineJoin = 'round'
  // The last line that was drawn may have left its own.
  ctx.setLineDash([])
  for (const heap of besideEachOther(endsOf(plot, lines), BESIDE_PX * ratio)) {
    const places = spread(
      heap.map(({ y }) => y),
      APART_PX * ratio,
      bbox.top + 6 * ratio,
      bbox.top + bbox.height - 6 * ratio,
    )
    heap.forEach(({ number, ink, x, y }, index) => {
      const at = places[index] ?? y
      const led = Math.abs(at - y) > LED_PX * ratio
      if (led) {
        ctx.strokeStyle = ink
        ctx.lineWidth = ratio
        ctx.beginPath()
        ctx.moveTo(x, y)
        ctx.lineTo(x + 8 * ratio, at)
        ctx.stroke()
      }
      const left = x + (led ? 10 : 5) * ratio
      ctx.strokeStyle = ground
      ctx.lineWidth = 4 * ratio
      ctx.strokeText(String(number), left, at)
      ctx.fillStyle = ink
      ctx.fillText(String(number), left, at)
    })
  }
  ctx.restore()
}

function endsOf(plot: uPlot, lines: readonly Numbered[]): End[] {
  return lines.flatMap((line, place) => {
    const values = plot.data[place + 1] ?? []
    let last = values.length - 1
    while (last >= 0 && (values[last] ?? null) === null) last--
    if (last < 0) return []
    const x = plot.valToPos(plot.data[0][last] ?? 0, 'x', true)
    return [{ ...line, x, y: plot.valToPos(values[last] ?? 0, 'y', true) }]
  })
}

/** Those that end so near to each other that their numbers could touch, each heap from above. */
function besideEachOther(ends: readonly End[], near: number): End[][] {
  const heaps: End[][] = []
  let before = -Infinity
  for (const end of ends.toSorted((a, b) => a.x - b.x)) {
    if (end.x - before < near) heaps.at(-1)?.push(end)
    else heaps.push([end])
    before = end.x
  }
  return heaps.map(heap => heap.toSorted((a, b) => a.y - b.y))
}
