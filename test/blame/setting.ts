import { drawLot, type CystLot } from '../../sim/biology/lot.ts'
import type { Random } from '../../sim/random.ts'
import type { Scenario, Span } from '../../sim/scenario.ts'
import { between, drawHealthy, oneOf } from '../alarms/draw.ts'

/** One batch: vessel, lot, and how its keeper works. */
export interface Setting {
  readonly scenario: Scenario
  readonly lot: CystLot
  readonly probeOffsetC: number
  /** Readings that never came, hours since the start. */
  readonly silent: Span | null
  /** A second probe near the surface. */
  readonly hasUpperProbe: boolean
  /** How long filled water stood unheated in its vessel before the batch, h; 0 for not at all. */
  readonly stoodH: number
  /** What the keeper has measured by hand. */
  readonly checksWater: boolean
  readonly measuresSalinity: boolean
  readonly measuresPH: boolean
  /** Written down for the batch; what it really is when left out. */
  readonly writtenGpl?: number
  readonly countsEmbryos: boolean
  readonly notesFirst: number
  /** Harvested so long after the best moment of its kind. */
  readonly harvestShiftH: number
  /** How many earlier batches of the lot were seen. */
  readonly batchesBefore: number
}

/** A well vessel, a lot like any on sale, and a keeper with the habits of keepers. */
export function drawSetting(random: Random): Setting {
  const { scenario, probeOffsetC } = drawHealthy(random.fork('vessel'))
  const lampHoldsC = Math.min(Math.max(scenario.lampHoldsC, 26), 28)
  const own = random.fork('habits')
  // A probe that is off is found by another thermometer, or by water that stood: every keeper here does one of the two, or both.
  const checksWater = own.uniform() < 0.7
  return {
    scenario: {
      ...scenario,
      name: 'blame',
      lampHoldsC,
      startC: between(own, 24.5, 27.5),
      room: {
        ...scenario.room,
        meanC: Math.min(scenario.room.meanC, lampHoldsC - 3),
        swingC: Math.min(scenario.room.swingC, 0.8),
      },
      lampLx: between(own, 2200, 4500),
      airVvm: between(own, 0.35, 0.9),
      cystsGpl: between(own, 1, 3.5),
    },
    lot: drawLot(random.fork('lot')),
    probeOffsetC,
    silent: own.uniform() < 0.2 ? silence(own) : null,
    hasUpperProbe: own.uniform() < 0.3,
    stoodH: checksWater && own.uniform() < 0.6 ? 0 : 9,
    checksWater,
    measuresSalinity: own.uniform() < 0.4,
    measuresPH: own.uniform() < 0.4,
    countsEmbryos: own.uniform() < 0.8,
    notesFirst: 0.4 + 0.6 * own.uniform(),
    harvestShiftH: between(own, -0.7, 1.2),
    // As in the season of forecasts: a lot serves for five batches in turn.
    batchesBefore: oneOf(own, [0, 1, 2, 3, 4]),
  }
}

function silence(random: Random): Span {
  const fromH = between(random, 1, 10)
  return { fromH, toH: fromH + between(random, 0.3, 2) }
}
