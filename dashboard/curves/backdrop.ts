import { html, type TemplateResult } from 'lit'
import type { Course } from '../../broker/web/api/events.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import type { Latest, Settings } from '../../broker/web/api/schemas.ts'
import { airText, levelText, lightText } from '../words/amounts.ts'
import { waterLimits } from '../words/condition.ts'
import { temperatureText, temperatureWords, toC, toF } from '../words/temperature.ts'
import type { Curve } from './history.ts'
import { type Ahead, type Backdrop, NO_BACKDROP } from './backdrop-parts.ts'
import type { TimeWindow } from './window.ts'

/** How one kind of curve is drawn and written. */
export interface CurveKind {
  readonly title: string
  readonly ink: string
  readonly height: number
  /** In the unit that is plotted. */
  readonly range: readonly [number, number]
  /** From the kept unit to the plotted one. */
  readonly convert: (value: number) => number
  readonly write: (value: number) => string
  readonly writePlotted: (value: number) => string
  readonly writeAxis: (value: number) => string
  readonly cell: (value: number) => TemplateResult
  readonly latest: (vessel: Vessel) => Latest | null
}

/** How far beyond its limits the water's axis always reaches, °C. */
const BEYOND_C = 0.8

export function kindOf(curve: Curve, settings: Settings): CurveKind {
  switch (curve) {
    case 'water': {
      const { coolC, hotC } = waterLimits(settings)
      return temperatureKind(
        'Water',
        '--ink',
        250,
        [coolC - BEYOND_C, hotC + BEYOND_C],
        settings,
        v => v.latest.waterC,
      )
    }
    case 'upper-water':
      return temperatureKind('Upper water', '--ink', 110, [20, 32], settings, v => v.latest.upperWaterC)
    case 'room':
      return temperatureKind('Room', '--ink-soft', 110, [18, 26], settings, v => v.latest.roomC)
    case 'air':
      return plainKind(
        'Air',
        '--air',
        [0, 0.5],
        airText,
        v => String(Number(v.toFixed(2))),
        v => v.latest.airLpm,
      )
    case 'light':
      return plainKind(
        'Light',
        '--light',
        [0, 500],
        lightText,
        v => v.toLocaleString('en-US'),
        v => v.latest.lightLx,
      )
    case 'level':
      return plainKind(
        'Water level',
        '--ink-soft',
        [0, 1],
        levelText,
        v => `${Math.round(100 * v)} %`,
        v => v.latest.levelShare,
      )
  }
}

function temperatureKind(
  title: string,
  ink: string,
  height: number,
  rangeC: readonly [number, number],
  settings: Settings,
  latest: CurveKind['latest'],
): CurveKind {
  const unit = settings.temperatureUnit
  const convert = unit === 'C' ? (value: number) => value : toF
  const back = unit === 'C' ? (value: number) => value : toC
  return {
    title,
    ink,
    height,
    range: [convert(rangeC[0]), convert(rangeC[1])],
    convert,
    write: value => temperatureText(value, unit),
    writePlotted: value => temperatureText(back(value), unit),
    writeAxis: value => `${Number(value.toFixed(1))} °${unit}`,
    cell: value => {
      const words = temperatureWords(value, unit)
      return html`${words.first} ${words.firstUnit}<span>${words.second}</span>`
    },
    latest,
  }
}

function plainKind(
  title: string,
  ink: string,
  range: readonly [number, number],
  write: (value: number) => string,
  writeAxis: (value: number) => string,
  latest: CurveKind['latest'],
): CurveKind {
  return {
    title,
    ink,
    height: 120,
    range,
    convert: value => value,
    write,
    writePlotted: write,
    writeAxis,
    cell: value => html`${write(value)}`,
    latest,
  }
}

/** What lies behind a curve: limits, what is expected, the harvest window. */
export function backdropOf(
  curve: Curve,
  vessel: Vessel | null,
  course: Course | null,
  settings: Settings,
  nowMs: number,
): Backdrop {
  if (!vessel) return NO_BACKDROP
  const { forecast, batch } = vessel
  const base: Backdrop = { ...NO_BACKDROP, nowMs, harvest: harvestOf(vessel) }
  const { convert, write } = kindOf(curve, settings)
  if (curve === 'water') {
    const { coolC, hotC } = waterLimits(settings)
    const heading = forecast?.heading
    return {
      ...base,
      limits: [
        { value: convert(hotC), side: 'above', name: `too hot from ${write(hotC)}` },
        ...(batch
          ? [{ value: convert(coolC), side: 'below' as const, name: `too cool below ${write(coolC)}` }]
          : []),
      ],
      ahead: batch ? waterAhead(vessel, course, nowMs, convert) : null,
      crossing: heading
        ? {
            value: convert(heading.limitC),
            earlyMs: Date.parse(heading.at.p10),
            atMs: Date.parse(heading.at.p50),
            lateMs: heading.at.p90 === null ? null : Date.parse(heading.at.p90),
          }
        : null,
    }
  }
  if (!batch) return base
  const litres = batch.litres
  if (curve === 'air')
    return {
      ...base,
      limits: [{ value: settings.rules['air-lost'].limit * litres, side: 'below', name: 'too little air' }],
    }
  if (curve === 'light')
    return { ...base, limits: [{ value: settings.rules['light-out'].limit, side: 'below', name: 'dark' }] }
  return base
}

/** The harvest window; `null` while none is in sight. */
export function harvestOf({ batch, forecast }: Vessel): Backdrop['harvest'] {
  if (!batch || !forecast?.reachesHatch) return null
  return { fromMs: Date.parse(forecast.harvest.from), untilMs: Date.parse(forecast.harvest.until) }
}

/** The water from now on as the course has it; before that is known, as the forecast has it on average. */
export function waterAhead(
  { forecast }: Vessel,
  course: Course | null,
  nowMs: number,
  convert: (waterC: number) => number,
): Ahead | null {
  const t: number[] = []
  const low: number[] = []
  const middle: number[] = []
  const high: number[] = []
  course?.t.forEach((atMs, index) => {
    const { p10, p50, p90 } = course.waterC
    const least = p10[index] ?? null
    const likely = p50[index] ?? null
    const most = p90[index] ?? null
    if (atMs < nowMs || least === null || likely === null || most === null) return
    t.push(atMs)
    low.push(convert(least))
    middle.push(convert(likely))
    high.push(convert(most))
  })
  if (t.length > 0) return { t, low, middle, high }
  if (!forecast) return null
  const { p10, p50, p90 } = forecast.expectedWaterC
  const endMs = Math.max(Date.parse(forecast.harvest.until), nowMs + 3_600_000)
  const flat = (waterC: number) => [convert(waterC), convert(waterC)]
  return { t: [nowMs, endMs], low: flat(p10), middle: flat(p50), high: flat(p90) }
}

/** What is expected may take so much more of the value axis than the curve's own range, as a share of that: a runaway leaves it. */
const MOST_BEYOND = 0.5

/** The least stretch of the value axis, wide enough for what is expected within the window, as far as that is any use. */
export function reachOf(
  range: readonly [number, number],
  { ahead }: Pick<Backdrop, 'ahead'>,
  { toMs }: TimeWindow,
): readonly [number, number] {
  const beyond = (range[1] - range[0]) * MOST_BEYOND
  let [low, high] = range
  ahead?.t.forEach((atMs, index) => {
    if (atMs > toMs) return
    low = Math.min(low, ahead.low[index] ?? low)
    high = Math.max(high, ahead.high[index] ?? high)
  })
  return [Math.max(low, range[0] - beyond), Math.min(high, range[1] + beyond)]
}
