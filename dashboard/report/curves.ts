import { html, svg, nothing, type TemplateResult } from 'lit'
import type { Settings } from '../../broker/web/api/schemas.ts'
import type { Channel, Recording } from '../replay/recording.ts'
import type { Shade, Shaded } from '../replay/diagnosed.ts'
import { joined, settingsThen } from '../replay/limits-then.ts'
import { shortTemperature, toF } from '../words/temperature.ts'
import { clockTime, type Zone } from '../words/time.ts'
import type { Noted } from './noted.ts'
import { bandOf, hourMarks, type Panel, wayOf, yIn } from './scale.ts'

/** How wide it is drawn: on paper and wide screens, or so that it fits a phone and its words can be read there. */
const PAPER = { wide: 760, left: 62, right: 752, mostHours: 12, id: 'lines' } as const
const PHONE = { wide: 344, left: 48, right: 336, mostHours: 5, id: 'lines-narrow' } as const
type Sheet = typeof PAPER | typeof PHONE
const NUMBERS = 30
const HOUR_MS = 3_600_000

interface Strip {
  readonly title: string
  readonly panel: Panel
  /** What is written at a height. */
  readonly marks: readonly { readonly at: number; readonly words: string }[]
  readonly inside: (x: (atMs: number) => number, y: (value: number) => number) => unknown
  readonly shaded: Shaded
}

/** A batch's curves for paper: ink alone tells them apart. Numbers stand over the lines where something happened. */
export function reportCurves(
  recording: Recording,
  {
    noted,
    shades,
    settings,
    zone,
  }: {
    readonly noted: readonly Noted[]
    readonly shades: readonly Shade[]
    readonly settings: Settings
    readonly zone: Zone
  },
  narrow = false,
): TemplateResult {
  const { fromMs, toMs } = recording
  const sheet = narrow ? PHONE : PAPER
  const { wide, left, right } = sheet
  const x = (atMs: number) => left + ((right - left) * (atMs - fromMs)) / Math.max(1, toMs - fromMs)
  const strips = stripsOf(recording, settings, sheet)
  const bottom = strips.at(-1)!.panel.top + strips.at(-1)!.panel.high
  const spoken = strips.map(({ title }) => title).join(', ')
  return html`<svg
    class=${narrow ? 'narrow' : 'wide'}
    viewBox="0 0 ${wide} ${bottom + 32}"
    role="img"
    aria-label="Curves of the batch: ${spoken}"
  >
    <defs>
      <pattern
        id=${sheet.id}
        width="6"
        height="6"
        patternUnits="userSpaceOnUse"
        patternTransform="rotate(45)"
      >
        <line y2="6" class="hatching" />
      </pattern>
    </defs>
    ${noted.map(
      ({ atMs }) => svg`<line class="event" x1=${x(atMs)} x2=${x(atMs)} y1=${NUMBERS - 2} y2=${bottom} />`,
    )}
    ${strips.map(strip => drawn(strip, x, shades, sheet))}
    ${hourMarks(toMs - fromMs, sheet.mostHours).map(hour => {
      const at = x(fromMs + hour * HOUR_MS)
      return svg`<line class="tick" x1=${at} x2=${at} y1=${bottom} y2=${bottom + 4} />
        <text x=${at} y=${bottom + 15} text-anchor="middle">${hour} h</text>
        <text class="small" x=${at} y=${bottom + 28} text-anchor="middle">${clockTime(fromMs + hour * HOUR_MS, zone)}</text>`
    })}
    ${spread(noted, x, sheet).map(
      ({ number, atMs, label, row }) =>
        svg`<line class="lead" x1=${label} x2=${x(atMs)} y1=${row * 13 + 12} y2=${NUMBERS - 2} />
          <text class="number" x=${label} y=${row * 13 + 11} text-anchor="middle">${number}</text>`,
    )}
  </svg>`
}

const NUMBER_WIDE = 19

/** Numbers that would lie over each other stand beside each other, and above where one row has no room; none beyond the edge. */
function spread(noted: readonly Noted[], x: (atMs: number) => number, { left, right }: Sheet) {
  const rows: { row: number; label: number; one: Noted }[][] = [[], []]
  const oneRow = noted.length * NUMBER_WIDE <= right - left
  noted.forEach((one, at) => {
    const row = oneRow ? 1 : 1 - (at % 2)
    const before = rows[row]?.at(-1)?.label ?? -Infinity
    rows[row]?.push({ row, one, label: Math.max(x(one.atMs), before + NUMBER_WIDE) })
  })
  for (const [at, row] of rows.entries()) {
    // The upper row's lines go down between the numbers of the lower one.
    let most = at === 0 ? right - NUMBER_WIDE / 2 : right
    for (const each of [...row].reverse()) {
      each.label = Math.min(each.label, most)
      most = each.label - NUMBER_WIDE
    }
  }
  return rows.flat().map(({ row, label, one }) => ({ ...one, row, label }))
}

function drawn(
  { title, panel, marks, inside, shaded }: Strip,
  x: (atMs: number) => number,
  shades: readonly Shade[],
  { left, right, id }: Sheet,
) {
  const y = (value: number) => yIn(panel, value)
  const { top, high } = panel
  return svg`
    ${shades
      .filter(({ on }) => on === shaded)
      .map(
        ({ fromMs, toMs, rank }) =>
          svg`<rect class=${rank === 1 ? 'blamed' : 'blamed other'} fill="url(#${id})" x=${x(fromMs)} y=${top} width=${Math.max(2, x(toMs) - x(fromMs))} height=${high} />`,
      )}
    ${marks.map(
      ({ at, words }) => svg`<line class="grid" x1=${left} x2=${right} y1=${y(at)} y2=${y(at)} />
        <text x=${left - 6} y=${withinPanel(y(at) + 4, top, high)} text-anchor="end">${words}</text>`,
    )}
    <rect class="frame" x=${left} y=${top} width=${right - left} height=${high} />
    ${inside(x, y)}
    <text class="title" x=${left + 5} y=${top + 12}>${title}</text>`
}

/** Clear of its line: above it, or below where the strip ends. */
const limitLabelY = (lineY: number, { top }: { readonly top: number }): number =>
  lineY - 5 < top + 9 ? lineY + 13 : lineY - 5

/** A number at the edge of its strip stands inside: outside it would meet the next strip's. */
const withinPanel = (baseline: number, top: number, high: number): number =>
  Math.min(top + high, Math.max(top + 9, baseline))

function stripsOf({ replay, channels }: Recording, settings: Settings, { left, right }: Sheet): Strip[] {
  const unit = settings.temperatureUnit
  const inUnit = (waterC: number) => (unit === 'C' ? waterC : toF(waterC))
  const strips: Strip[] = []
  let top = NUMBERS
  const add = (high: number, make: (panel: { top: number; high: number }) => Strip) => {
    strips.push(make({ top, high }))
    top += high + 8
  }
  const { water, air, light } = channels
  const upper = channels['upper-water']
  const { expectedWaterC: expected, course } = replay
  // As they were set then: today's may be others.
  const limits = joined(
    settingsThen(replay, settings).map(({ then, ...held }) => ({
      name: 'limit',
      value: then.rules['water-too-hot'].limit,
      ...held,
    })),
  )
  add(150, at => {
    const seen = [
      ...(water?.columns.min ?? []),
      ...(water?.columns.max ?? []),
      ...(upper?.columns.mean ?? []),
      24,
      ...limits.map(({ value }) => value + 0.6),
    ]
    const low = Math.floor(Math.max(least(seen), 5) - 0.5)
    const most = Math.ceil(Math.min(greatest(seen), 45) + 0.5)
    const middle = Math.round((low + most) / 2)
    return {
      title: `Water, ${unit === 'C' ? '°C' : '°F'}${upper ? '; dashed: upper probe' : ''}`,
      panel: { ...at, low, most },
      marks: [low, middle, most].map(waterC => ({ at: waterC, words: inUnit(waterC).toFixed(0) })),
      shaded: 'water',
      inside: (x, y) => svg`
        <path class="expected" d=${bandOf(expected.t, expected.p10, expected.p90, x, y)} />
        ${limits.map(({ value, fromMs, toMs = Infinity }) => {
          const [from, to] = [fromMs === undefined ? left : x(fromMs), toMs === Infinity ? right : x(toMs)]
          return svg`<line class="limit" x1=${from} x2=${to} y1=${y(value)} y2=${y(value)} />`
        })}
        ${line(upper, x, y, 'measured upper')} ${line(water, x, y, 'measured')}
        ${limits.map(({ value, fromMs }) => {
          const from = fromMs === undefined ? left + 96 : x(fromMs) + 4
          return svg`<text class="small on-line" x=${from} y=${limitLabelY(y(value), at)}>limit ${shortTemperature(value, unit)}</text>`
        })}`,
    }
  })
  add(76, at => ({
    title: 'Out, by the model, % of all nauplii that will come',
    panel: { ...at, low: 0, most: 1 },
    marks: [0, 0.5, 1].map(share => ({ at: share, words: String(100 * share) })),
    shaded: 'hatched',
    inside: (x, y) => {
      const until = course.t.filter(atMs => atMs <= Date.parse(replay.to)).length
      const t = course.t.slice(0, until)
      return svg`<path class="expected" d=${bandOf(t, course.hatched.p10, course.hatched.p90, x, y)} />
        <path class="measured" d=${wayOf(t, course.hatched.p50, x, y)} />`
    },
  }))
  for (const [role, channel, title, digits] of [
    ['air', air, 'Air, l/min', 1],
    ['light', light, 'Light, lx', 0],
  ] as const) {
    if (!channel) continue
    add(52, at => {
      // With room above the line for what the strip is called.
      const most = roundUp(1.35 * greatest(channel.columns.max))
      return {
        title,
        panel: { ...at, low: 0, most },
        marks: [0, most].map(value => ({
          at: value,
          words: value.toLocaleString('en-US', { maximumFractionDigits: digits }),
        })),
        shaded: role,
        inside: (x, y) => line(channel, x, y, 'measured thin'),
      }
    })
  }
  return strips
}

function line(
  channel: Channel | undefined,
  x: (atMs: number) => number,
  y: (value: number) => number,
  look: string,
) {
  if (!channel) return nothing
  return svg`<path class=${look} d=${wayOf(channel.t, channel.columns.mean, x, y, channel.gapMs)} />`
}

/** The next number above that has one digit, or one and a half. */
function roundUp(value: number): number {
  const step = 10 ** Math.floor(Math.log10(Math.max(value, 1e-3))) / 2
  return step * Math.ceil((value * 1.02) / step)
}

const least = (values: readonly (number | null | undefined)[]): number =>
  values.reduce<number>((low, value) => Math.min(low, value ?? Infinity), Infinity)
const greatest = (values: readonly (number | null | undefined)[]): number =>
  values.reduce<number>((high, value) => Math.max(high, value ?? -Infinity), -Infinity)
