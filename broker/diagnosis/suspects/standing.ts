import { Quality } from '../../intake/reading.ts'
import type { Sample } from '../../store/contract.ts'
import { gridOver, type Grid, meansOver, momentOf, runsOf } from '../record/grid.ts'
import type { Offset } from './probe.ts'
import { type Case, degreesApart, hoursWords } from './suspect.ts'

/**
 * Bubbled water that nobody heats stands a little below its room, by what evaporates. A litre bubbled with 0.5 l/min of half-dry air gives
 * off some 0.3 g an hour to the bubbles and as much again from its surface, 0.4 W, where a bottle takes some 0.8 W for each °C: about
 * half a degree. Own estimate, with its standard deviation, °C.
 */
const STANDS_BELOW_C = 0.5
const STANDS_SD_C = 0.25
/** The room's probe's own error: a DS18B20 is good to ±0.5 °C (datasheet), taken as two standard deviations; °C. */
const ROOM_PROBE_SD_C = 0.25
/** Water and room that move by less than this an hour have come to rest, °C. */
const AT_REST_C_PER_H = 0.35
/** For so long, cells: an hour. */
const AT_REST_CELLS = 12
/** A lamp that is off gives this share of what it gives when lit, at the most. */
const LAMP_OFF_SHARE = 0.2
/** The record is looked at so far before the start and after the end, ms. */
const AROUND_MS = 12 * 3_600_000

/**
 * What the probe is off by, from water that stood unheated in its room before the start or after the end: then both must show
 * about the same. Which of the two probes is off it does not tell; the room's is taken as good to its datasheet.
 */
export function standingApart({ input, record }: Case): Offset | null {
  const { readings, batch } = input
  if (!readings.room || !readings.water || !readings.light) return null
  const lit = upperLevel(record.light)
  if (!(lit > 0)) return null
  const before = gridOver(batch.startedAtMs - AROUND_MS, batch.startedAtMs)
  const after = gridOver(record.endMs, record.endMs + AROUND_MS)
  const found = [before, after].flatMap(grid =>
    restingIn(grid, readings.water ?? [], readings.room ?? [], readings.light ?? [], lit),
  )
  if (found.length === 0) return null
  const apartC = found.reduce((sum, one) => sum + one.apartC, 0) / found.length
  const offsetC = apartC + STANDS_BELOW_C
  return {
    offsetC,
    sdC: Math.hypot(STANDS_SD_C, ROOM_PROBE_SD_C),
    evidence: found.map(({ fromMs, toMs, apartC: apart, hours }) => ({
      role: 'water',
      spans: [{ fromMs, toMs }],
      value: apart,
      limit: -STANDS_BELOW_C,
      unit: '°C',
      source: 'Unheated water stands about half a degree below its room: own estimate from what evaporates',
      words: `It stood unheated for ${hoursWords(hours)} and showed ${degreesApart(Math.abs(apart))} ${apart > 0 ? 'more' : 'less'} than the room.`,
    })),
  }
}

function restingIn(
  grid: Grid,
  waterSamples: readonly Sample[],
  roomSamples: readonly Sample[],
  lightSamples: readonly Sample[],
  lit: number,
) {
  const within = (samples: readonly Sample[]) =>
    meansOver(
      grid,
      samples.filter(one => one.quality === Quality.good),
    )
  const water = within(waterSamples)
  const room = within(roomSamples)
  const light = within(lightSamples)
  const isOff = (cell: number) => (light[cell] ?? NaN) <= LAMP_OFF_SHARE * lit
  return runsOf(grid.cells, isOff, AT_REST_CELLS).flatMap(([, to]) => {
    // The end of a run is what has had longest to come to rest.
    const from = to - AT_REST_CELLS
    const moved = (values: Float64Array) =>
      Math.abs(mean(values, to - 4, to) - mean(values, from, from + 4)) / ((AT_REST_CELLS - 4) / 12)
    if (!(moved(water) < AT_REST_C_PER_H && moved(room) < 2 * AT_REST_C_PER_H)) return []
    const apartC = mean(water, from, to) - mean(room, from, to)
    if (Number.isNaN(apartC)) return []
    return [{ fromMs: momentOf(grid, from), toMs: momentOf(grid, to), apartC, hours: AT_REST_CELLS / 12 }]
  })
}

function mean(values: Float64Array, from: number, to: number): number {
  let sum = 0
  let count = 0
  for (let cell = Math.max(from, 0); cell < Math.min(to, values.length); cell++) {
    const value = values[cell] ?? NaN
    if (Number.isNaN(value)) continue
    sum += value
    count++
  }
  return count > 0 ? sum / count : NaN
}

/** What the light is when it is on: its 90th percentile. */
function upperLevel(values: Float64Array): number {
  const known = values.filter(value => !Number.isNaN(value)).sort()
  return known[Math.floor(0.9 * known.length)] ?? NaN
}
