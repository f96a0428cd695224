import { html, nothing, svg, type TemplateResult } from 'lit'
import type { Shade } from './diagnosed.ts'
import type { Happening } from './happenings.ts'
import { gapsOf, type Recording } from './recording.ts'

/** In drawing units; the strip is stretched to the width that it has. */
const WIDTH = 1000
const HEIGHT = 52
const FOOT = 44
/** The line has so many places: more would not be seen on a phone. */
const PLACES = 320

/** The whole batch in one strip: its water as a line, what speaks for causes, gaps, and where alarms called. */
export function strip(
  recording: Recording,
  shades: readonly Shade[],
  happenings: readonly Happening[],
): TemplateResult {
  const { fromMs, toMs, channels } = recording
  const x = (atMs: number) => ((atMs - fromMs) / (toMs - fromMs)) * WIDTH
  const wide = (from: number, to: number) => Math.max(2, x(to) - x(from)).toFixed(1)
  const { water } = channels
  const gaps = water ? gapsOf(water, fromMs, toMs) : [{ fromMs, toMs }]
  return html`<svg viewBox="0 0 ${WIDTH} ${HEIGHT}" preserveAspectRatio="none" aria-hidden="true">
    <defs>
      <pattern id="none" width="7" height="7" patternUnits="userSpaceOnUse">
        <path d="M0 7 L7 0" stroke="var(--ink-soft)" stroke-width="1.2" />
      </pattern>
    </defs>
    ${gaps.map(
      gap =>
        svg`<rect x=${x(gap.fromMs).toFixed(1)} y="4" width=${wide(gap.fromMs, gap.toMs)} height=${FOOT - 4} fill="url(#none)" opacity="0.5" />`,
    )}
    ${shades.map(
      shade =>
        svg`<rect class=${shade.rank === 1 ? 'first' : 'other'} x=${x(shade.fromMs).toFixed(1)} y="4"
          width=${wide(shade.fromMs, shade.toMs)} height=${FOOT - 4} />`,
    )}
    ${water ? svg`<path class="water" d=${waterPath(recording)} />` : nothing}
    ${happenings
      .filter(({ kind }) => kind === 'alarm' || kind === 'person')
      .map(({ kind, atMs }) => svg`<path class=${kind} d="M${x(atMs).toFixed(1)} ${FOOT} V${HEIGHT}" />`)}
  </svg>`
}

function waterPath({ channels, fromMs, toMs }: Recording): string {
  const { water } = channels
  if (!water) return ''
  const { t, columns, gapMs } = water
  const every = Math.max(1, Math.ceil(t.length / PLACES))
  const values = columns.mean
  const low = Math.min(...values)
  const high = Math.max(...values, low + 2)
  const parts: string[] = []
  let before = -Infinity
  for (let index = 0; index < t.length; index += every) {
    const at = t[index] ?? 0
    const x = ((at - fromMs) / (toMs - fromMs)) * WIDTH
    const y = FOOT - 4 - (((values[index] ?? low) - low) / (high - low)) * (FOOT - 14)
    parts.push(`${at - before > Math.max(gapMs, gapMs * every) ? 'M' : 'L'}${x.toFixed(1)} ${y.toFixed(1)}`)
    before = at
  }
  return parts.join('')
}
