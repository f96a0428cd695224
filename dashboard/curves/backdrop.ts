import { html, type TemplateResult } from 'lit'
import type { Latest, Settings, Vessel } from '../../broker/web/api/schemas.ts'
import { airText, lightText } from '../words/amounts.ts'
import { waterLimits } from '../words/condition.ts'
import { temperatureText, temperatureWords, toC, toF } from '../words/temperature.ts'
import type { Curve } from './history.ts'
import { type Backdrop, NO_BACKDROP } from './plot.ts'

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
/** The newest part of the measured line that the forecast's expectation is drawn from, ms. */
const EXPECTED_BACK_MS = 3 * 3_600_000

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

/** What lies behind a curve: limits, what the forecast expects, the harvest window. */
export function backdropOf(curve: Curve, vessel: Vessel | null, settings: Settings, nowMs: number): Backdrop {
  if (!vessel) return NO_BACKDROP
  const { forecast, batch } = vessel
  const batchMs = batch ? Date.parse(batch.startedAt) : null
  const harvest = forecast?.reachesHatch
    ? { fromMs: Date.parse(forecast.harvest.from), untilMs: Date.parse(forecast.harvest.until) }
    : null
  const base: Backdrop = { nowMs, limits: [], expected: null, harvest, batchMs }
  const { convert, write } = kindOf(curve, settings)
  if (curve === 'water') {
    const { coolC, hotC } = waterLimits(settings)
    return {
      ...base,
      limits: [
        { value: convert(hotC), side: 'above', name: `too hot from ${write(hotC)}` },
        ...(batch
          ? [{ value: convert(coolC), side: 'below' as const, name: `too cool below ${write(coolC)}` }]
          : []),
      ],
      expected: forecast
        ? {
            low: convert(forecast.expectedWaterC.p10),
            high: convert(forecast.expectedWaterC.p90),
            fromMs: Math.max(batchMs ?? 0, nowMs - EXPECTED_BACK_MS),
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
