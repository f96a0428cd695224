import { CauseKind, type Evidence } from '../contract.ts'
import { CELL_H, runsOf } from '../record/grid.ts'
import { spanOf } from '../record/record.ts'
import {
  AFTER_FAO_361,
  afterStart,
  type Case,
  degrees,
  degreesApart,
  FAO_428,
  hoursWords,
  type Suspect,
  TRADE,
} from './suspect.ts'

/** Published limits of heat, °C: from the first development is interrupted, above the second embryos die. */
export const INTERRUPTED_C = 33
export const DEADLY_C = 40
/** Below it hatching is slower. */
export const SLOWER_BELOW_C = 25
/** Water below {@link SLOWER_BELOW_C} for less than this is a vessel that warms up, h. Own choice. */
const WARMS_UP_H = 1.5

/** Water above the limit that a person set. The trade's cautious limit is kept apart from published ones. */
export function hotWater(of: Case): Suspect | null {
  const { record, input } = of
  const { tooHotC } = input.limits
  const over = (limitC: number) => runsOf(record.grid.cells, cell => (record.water[cell] ?? NaN) > limitC)
  const runs = over(tooHotC)
  const first = runs[0]
  if (!first) return null
  const most = greatest(record.water)
  const lasting = (spans: readonly [number, number][]) =>
    spans.reduce((sum, [from, to]) => sum + (to - from) * CELL_H, 0)
  const published = [
    [
      INTERRUPTED_C,
      `Development is interrupted above about 33 °C, harmless or not: sources disagree (${FAO_428})`,
    ],
    [DEADLY_C, `Embryos die above 40 °C (${FAO_428})`],
  ] as const
  const evidence: Evidence[] = [
    {
      role: 'water',
      spans: runs.map(run => spanOf(record.grid, run)),
      value: most,
      limit: tooHotC,
      unit: '°C',
      source: `Your alarm limit. The trade's cautious one is 29.4 °C (85 °F): ${TRADE.toLowerCase()}`,
      words: `Above ${degrees(tooHotC)} for ${hoursWords(lasting(runs))}, ${degrees(most)} at the most.${putRight(of)}`,
    },
  ]
  for (const [limitC, source] of published) {
    const beyond = over(limitC)
    if (beyond.length === 0) continue
    evidence.push({
      role: 'water',
      spans: beyond.map(run => spanOf(record.grid, run)),
      value: lasting(beyond),
      limit: 0,
      unit: 'h',
      source,
      words: `Above ${degrees(limitC)} for ${hoursWords(lasting(beyond))}.`,
    })
  }
  const since = afterStart(of, spanOf(record.grid, first).fromMs)
  return {
    kind: CauseKind.tooHot,
    words: `The water was too hot: ${degrees(most)} at the most, above ${degrees(tooHotC)} for ${hoursWords(lasting(runs))} from ${since} on.`,
    evidence,
    real: 0.98,
    change:
      'Keep the water below 28 °C (82 °F): a weaker lamp or one further off, or a thermostat of its own in the heater’s line.',
  }
}

/** Water that was so cool, for so long, that the hatch came later for it. */
export function coolWater(of: Case): Suspect | null {
  const { record } = of
  const runs = runsOf(record.grid.cells, cell => (record.water[cell] ?? NaN) < SLOWER_BELOW_C)
  const hours = runs.reduce((sum, [from, to]) => sum + (to - from) * CELL_H, 0)
  const longest = runs.reduce((a, b) => (b[1] - b[0] > a[1] - a[0] ? b : a), [0, 0])
  if (hours < WARMS_UP_H) return null
  let sum = 0
  let least = Infinity
  let count = 0
  for (const [from, to] of runs) {
    for (let cell = from; cell < to; cell++) {
      const waterC = record.water[cell] ?? NaN
      sum += waterC
      count++
      least = Math.min(least, waterC)
    }
  }
  const span = spanOf(record.grid, longest)
  return {
    kind: CauseKind.tooCool,
    words: `The water was too cool: ${degrees(sum / count)} on average for ${hoursWords(hours)}, most of it from ${afterStart(of, span.fromMs)} on.`,
    evidence: [
      {
        role: 'water',
        spans: runs.map(run => spanOf(record.grid, run)),
        value: least,
        limit: SLOWER_BELOW_C,
        unit: '°C',
        source: `25 to 28 °C are preferred, below it is slower (${AFTER_FAO_361})`,
        words: `Below ${degrees(SLOWER_BELOW_C)} for ${hoursWords(hours)}, ${degrees(least)} at the least.${putRight(of)}`,
      },
    ],
    real: 0.98,
    change:
      'Warm it to 26.7 to 27.8 °C (80 to 82 °F) before the cysts go in, and give the lamp or heater what the room takes: nearer, stronger, or the vessel in a box.',
  }
}

/** What was done to the readings before they were held against a limit. */
function putRight({ record }: Case): string {
  const { correctedByC } = record
  if (correctedByC === 0) return ''
  const way = correctedByC > 0 ? 'more' : 'less'
  return ` The probe was off: its readings are taken as ${degreesApart(Math.abs(correctedByC))} ${way}.`
}

function greatest(values: Float64Array): number {
  let most = -Infinity
  for (const value of values) if (value > most) most = value
  return most
}
