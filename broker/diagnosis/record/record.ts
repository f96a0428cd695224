import type { DiagnosisInput, Span } from '../contract.ts'
import { bridged, CELL_MS, cellOf, filled, gridOver, type Grid, meansOver, momentOf } from './grid.ts'
import { frozenSpans, outOfWaterSpans } from './probe-spans.ts'

/** The batch's readings in cells, what is not to be believed taken out. NaN where nothing is known. */
export interface BatchRecord {
  readonly grid: Grid
  /** When it was drawn off or given up, if it was; else up to when it is looked at. */
  readonly endMs: number
  readonly harvestMs: number | null
  readonly harvestCell: number
  /** Believed water; NaN also where the probe was out of the water or stuck. */
  readonly water: Float64Array
  readonly upper: Float64Array
  readonly room: Float64Array
  /** Air, l/min for each litre of water. */
  readonly air: Float64Array
  readonly light: Float64Array
  /** Where the probe hung in the air, and where it was stuck. */
  readonly outOfWater: readonly Span[]
  readonly frozen: readonly Span[]
  /** Without a gap; a batch of which no water was measured has its plan's. */
  readonly waterFilled: Float64Array
  readonly waterKnown: boolean
  /** Added to what the water's probe showed, °C. */
  readonly correctedByC: number
}

/** Where nothing was measured the water is taken to have been in the middle of the trade's working range (common practice, no source), °C. */
export const PLANNED_C = 27.2

export function recordOf(input: DiagnosisInput): BatchRecord {
  const { batch, readings, written } = input
  const harvestCount = written.counts?.findLast(count => count.harvest)
  const harvestMs = written.harvestedAtMs ?? harvestCount?.atMs ?? batch.endedAtMs
  const endMs = Math.max(harvestMs ?? batch.endedAtMs ?? input.nowMs, batch.startedAtMs + CELL_MS)
  const grid = gridOver(batch.startedAtMs, endMs)
  const of = (role: keyof typeof readings) => bridged(meansOver(grid, readings[role] ?? []))
  const water = of('water')
  const room = of('room')
  const light = of('light')
  const outOfWater = outOfWaterSpans(grid, readings.water ?? [], water, room, batch.litres)
  const frozen = frozenSpans(readings.water ?? [], endMs)
  for (const { fromMs, toMs } of [...outOfWater, ...frozen]) {
    if (toMs <= grid.fromMs) continue
    for (let cell = cellOf(grid, fromMs); cell < grid.cells && momentOf(grid, cell) < toMs; cell++)
      water[cell] = NaN
  }
  const whole = filled(water)
  return {
    grid,
    endMs,
    harvestMs,
    harvestCell: grid.cells - 1,
    water,
    upper: of('upper-water'),
    room,
    air: of('air').map(lpm => lpm / batch.litres),
    light,
    outOfWater,
    frozen,
    waterFilled: whole ?? new Float64Array(grid.cells).fill(PLANNED_C),
    waterKnown: whole !== null,
    correctedByC: 0,
  }
}

/** The same with the water's probe put right: it showed so much too much, °C. */
export function corrected(record: BatchRecord, offsetC: number): BatchRecord {
  const right = (values: Float64Array) => values.map(value => value - offsetC)
  return {
    ...record,
    correctedByC: -offsetC,
    water: right(record.water),
    waterFilled: record.waterKnown ? right(record.waterFilled) : record.waterFilled,
  }
}

export function spanOf(grid: Grid, [from, to]: readonly [number, number]): Span {
  return { fromMs: momentOf(grid, from), toMs: momentOf(grid, to) }
}
