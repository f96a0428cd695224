import { readFileSync } from 'node:fs'
import type { Turn } from '../../sim/hardware/course.ts'

/**
 * Hourly normals of outdoor air for one year in Seattle, 1981-2010, from the npm package `vega-datasets`: the package is under
 * BSD-3-Clause, and it names the data as a work of the US Government (NOAA National Climatic Data Center).
 * Only these simulations read it.
 */
const FILE = '../../node_modules/vega-datasets/data/seattle-weather-hourly-normals.csv'

/** °C, one an hour, from the first hour of 1 January. */
export function outdoorTemperatures(): number[] {
  const text = readFileSync(new URL(FILE, import.meta.url), 'utf8')
  const [head = '', ...lines] = text.trim().split('\n')
  const column = head.split(',').indexOf('temperature')
  const values = lines.map(line => Number(line.split(',')[column]))
  if (values.length < 8000 || !values.every(Number.isFinite)) {
    throw new Error(`Cannot read the weather: ${FILE} must hold a temperature for each hour of a year`)
  }
  return values
}

export interface Indoors {
  /** Where in the year the batch begins, hours. */
  readonly fromHour: number
  readonly hours: number
  /** Mean of the room over the batch, °C: sun, people and machines lift it above what is outside. */
  readonly meanC: number
  /** How long walls and furniture hold the warmth, hours. */
  readonly lagH: number
}

/** A room without heating control: it follows the weather, damped and late. */
export function indoorCourse(outdoorC: readonly number[], { fromHour, hours, meanC, lagH }: Indoors): Turn[] {
  const at = (hour: number) => outdoorC[(hour + outdoorC.length) % outdoorC.length] ?? 0
  const warmUp = Math.round(6 * lagH)
  let wallsC = at(fromHour - warmUp)
  const course: number[] = []
  for (let hour = -warmUp; hour < hours; hour++) {
    wallsC += (at(fromHour + hour) - wallsC) / lagH
    if (hour >= 0) course.push(wallsC)
  }
  const liftC = meanC - course.reduce((a, b) => a + b, 0) / course.length
  return course.map((roomC, atH) => ({ atH, to: roomC + liftC, overH: 1 }))
}
