import { html, svg, type TemplateResult } from 'lit'
import type { Readings } from '../../broker/web/api/vessels.ts'

const WIDE = 400
const HIGH = 130
const LEFT = 66
const BOTTOM = 20
/** Readings further apart than so many usual steps are a gap. */
const GAP_STEPS = 4

interface Words {
  readonly temperature: (waterC: number) => string
  readonly time: (atMs: number) => string
}

/** The water of a batch as one line for paper. */
export function waterCurve(water: Readings['channels']['water'] | null, words: Words): TemplateResult {
  if (!water || water.t.length < 2) return html`<p class="soft">No water was measured.</p>`
  const { t, mean } = water
  const [from, to] = [t[0]!, t.at(-1)!]
  const low = Math.floor(Math.min(...mean) - 0.5)
  const high = Math.ceil(Math.max(...mean) + 0.5)
  const x = (atMs: number) => LEFT + ((WIDE - LEFT) * (atMs - from)) / (to - from)
  const y = (waterC: number) => 8 + (HIGH - 8 - BOTTOM) * (1 - (waterC - low) / (high - low))
  const gapMs = (GAP_STEPS * (to - from)) / t.length
  const way = t
    .map((atMs, at) => {
      const begins = at === 0 || atMs - (t[at - 1] ?? atMs) > gapMs
      return `${begins ? 'M' : 'L'}${x(atMs).toFixed(1)} ${y(mean[at]!).toFixed(1)}`
    })
    .join('')
  const middle = (low + high) / 2
  const summary = `Water from ${words.temperature(Math.min(...mean))} to ${words.temperature(Math.max(...mean))}`
  return html`<svg viewBox="0 0 ${WIDE} ${HIGH}" role="img" aria-label=${summary}>
    ${[low, middle, high].map(
      at =>
        svg`<line class="grid" x1=${LEFT} x2=${WIDE} y1=${y(at)} y2=${y(at)} />
          <text x=${LEFT - 8} y=${y(at) + 4} text-anchor="end">${words.temperature(at)}</text>`,
    )}
    <path class="water" d=${way} />
    <text x=${LEFT} y=${HIGH - 3}>${words.time(from)}</text>
    <text x=${WIDE} y=${HIGH - 3} text-anchor="end">${words.time(to)}</text>
  </svg>`
}
