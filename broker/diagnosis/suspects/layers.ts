import { CauseKind, type Evidence } from '../contract.ts'
import { CELL_H, runsOf } from '../record/grid.ts'
import { spanOf } from '../record/record.ts'
import { airlessRuns } from './air.ts'
import { afterStart, type Case, degreesApart, hoursWords, type Suspect } from './suspect.ts'

/**
 * Two probes that show so much more apart than when the water was one are in different water, °C. Bubbles leave layers a tenth apart, and
 * the probes' own errors are taken out. Own choice.
 */
const APART_C = 0.4
/** For so long, cells: half an hour. */
const APART_CELLS = 6
/** Water is one after it was poured and stirred, cells: 20 min. */
const STIRRED_CELLS = 4
/** Water that parts cools below, with the lamp still lit: by so much, °C, from just before to its lowest. Own choice. */
const FELL_C = 0.5

/** Still lower water: cells in which it was so, and how it is known. */
export interface Layers {
  readonly still: Uint8Array
  readonly suspect: Suspect
}

/**
 * Two probes tell it. With one, no more can be said than that it may have been: the air was low, and the lower water fell while lamp and room
 * stayed as they were. A mixed vessel and a parted one look the same to one probe otherwise.
 */
export function layers(of: Case): Layers | null {
  return byTwoProbes(of) ?? byOneProbe(of)
}

function byTwoProbes(of: Case): Layers | null {
  const { record } = of
  const usual = apartWhenMixed(of)
  const apart = (cell: number) => (record.upper[cell] ?? NaN) - (record.water[cell] ?? NaN) - usual
  const runs = runsOf(record.grid.cells, cell => apart(cell) > APART_C, APART_CELLS)
  const first = runs[0]
  if (!first) return null
  let most = 0
  for (const [from, to] of runs) for (let cell = from; cell < to; cell++) most = Math.max(most, apart(cell))
  const hours = runs.reduce((sum, [from, to]) => sum + (to - from) * CELL_H, 0)
  const evidence: Evidence = {
    role: 'upper-water',
    spans: runs.map(run => spanOf(record.grid, run)),
    value: most,
    limit: APART_C,
    unit: '°C',
    source:
      'Bubbled water is one to a tenth of a degree: own estimate. What the two probes differ by in stirred water is taken out',
    words: `The upper water was up to ${degreesApart(most)} warmer than the lower for ${hoursWords(hours)}.`,
  }
  return {
    still: marked(record.grid.cells, runs),
    suspect: {
      kind: CauseKind.stratified,
      words: `The water lay in layers for ${hoursWords(hours)} from ${afterStart(of, spanOf(record.grid, first).fromMs)} on, up to ${degreesApart(most)} apart: cysts lie below, cool and without air.`,
      evidence: [evidence],
      real: 0.95,
      change:
        'Bring the air line down to the tip of the cone, and give enough air that nothing lies still at the bottom.',
    },
  }
}

/** What the two probes differ by in the same water, °C: in the first minutes of a vessel that was just filled and stirred. */
function apartWhenMixed({ record }: Case): number {
  const first: number[] = []
  for (let cell = 0; cell < STIRRED_CELLS; cell++) {
    const apart = (record.upper[cell] ?? NaN) - (record.water[cell] ?? NaN)
    if (!Number.isNaN(apart)) first.push(apart)
  }
  return first.length === 0 ? 0 : first.reduce((a, b) => a + b, 0) / first.length
}

function byOneProbe(of: Case): Layers | null {
  const { record } = of
  const runs = airlessRuns(of)
  const first = runs.find(([from, to]) => {
    const before = record.water[from - 1] ?? NaN
    let least = before
    for (let cell = from; cell < to; cell++) least = Math.min(least, record.water[cell] ?? least)
    const lamp = (record.light[to - 1] ?? NaN) / (record.light[from - 1] ?? NaN)
    const roomMoved = Math.abs((record.room[to - 1] ?? NaN) - (record.room[from - 1] ?? NaN))
    return before - least > FELL_C && lamp > 0.8 && !(roomMoved > 1)
  })
  if (!first) return null
  const hours = (first[1] - first[0]) * CELL_H
  return {
    still: marked(record.grid.cells, [first]),
    suspect: {
      kind: CauseKind.stratified,
      words: `The water may have lain in layers for ${hoursWords(hours)} from ${afterStart(of, spanOf(record.grid, first).fromMs)} on: it fell below while the lamp stayed lit and the air was low.`,
      evidence: [
        {
          role: 'water',
          spans: [spanOf(record.grid, first)],
          value: FELL_C,
          limit: null,
          unit: '°C',
          source: 'Own choice. One probe cannot tell it for sure; a second one near the surface can',
          words: `It fell by more than ${degreesApart(FELL_C)} while lamp and room stayed.`,
        },
      ],
      real: 0.35,
      change: 'Put a second probe near the surface, if it happens again.',
    },
  }
}

function marked(cells: number, runs: readonly (readonly [number, number])[]): Uint8Array {
  const still = new Uint8Array(cells)
  for (const [from, to] of runs) still.fill(1, from, to)
  return still
}
