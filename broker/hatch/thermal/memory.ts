import type { WaterSample } from '../contract.ts'
import { CycleTracker, type HeaterCycle } from './cycle.ts'
import type { PieceColumns } from './first-order-filter.ts'
import { later } from './later.ts'
import { merged, PieceGatherer, pieceVariance, type Piece } from './piece.ts'
import {
  CHANGED_SD_C,
  LOOK_BACK,
  posteriorOf,
  type EquilibriumBelief,
  type ThermalCase,
} from './posterior.ts'
import type { ThermalResponse } from './response.ts'
import type { Held } from './steadied.ts'
import { FIFTHS, weightedBand } from './weighted-band.ts'
import { expectedTau, type TauBelief } from './vessel-prior.ts'
import { HOUR_MS } from '../units.ts'

export interface MemoryOptions {
  /** Litres of water: narrows what time constant to expect. */
  readonly litres?: number
  /** Where the keeper means the water to settle, °C: stands in until readings tell. */
  readonly plannedC?: number
}

/** The lamp has changed, as its light shows. */
export interface ToldByLamp {
  readonly atMs: number
  /** How likely it is that the water follows, 0 to 1, before it has. */
  readonly chance: number
  /** Where it then heads, °C, and how sure that is. */
  readonly headsToC: number
  readonly sdC: number
}

/** The newest pieces are kept as they are; older ones five and five as one. */
const FINE_SLOTS = 25
const COARSE_SLOTS = 5
/** With so many older pieces (over three hours) the oldest are learned from and dropped. */
const MOST_COARSE = 40
const DROPPED_COARSE = 20
/** How well a plan is kept, and how far from its first reading water of no plan may settle, °C. Own choice. */
const PLANNED_SD_C = 2.5
const UNPLANNED_SD_C = 5
/** A change is settled, and what lies before it let go, when it is this old and this certain. */
const SETTLED_PIECES = 20
const SETTLED_SHARE = 0.98
/** Where to look for it: at every piece of the last hour or so, so that nothing from after it is taken for before. */
const SETTLING_GLANCE = [SETTLED_PIECES, 26, 32, 38]
const SETTLING_LOOK_BACK = Array.from({ length: 24 }, (_, at) => SETTLED_PIECES - 4 + at)
/** Where to look for a change in what was measured till an earlier moment. */
const GLANCE_BACK = [5, 10, 20, 34]
/** A vessel's time constant is never held for better known than this (ln): air, lid and filling change. Own choice. */
const LEARNED_LN_SD = 0.12
/** A mean over a cycle and the next one's differ by about this share of the swing. Own choice. */
const CYCLE_MEAN_SHARE = 0.15

/**
 * What is remembered of one vessel's recent water in order to fit its response at any moment: at most 30 pieces of a minute and 40
 * of five, that is under 4 hours in under 8 kB, whatever the readings' number. Taking a reading costs the same always, but for a
 * settling once in 25 minutes. It depends on the readings alone, never on when a fit was asked for.
 */
export class ThermalMemory {
  readonly #gatherer = new PieceGatherer()
  readonly #cycles = new CycleTracker()
  readonly #options: MemoryOptions
  #fine: Piece[] = []
  #coarse: Piece[] = []
  #tau: TauBelief
  /** Whether a change was settled: before it the plan stands in for the equilibrium, after it nothing does. */
  #changed = false

  constructor(options: MemoryOptions = {}) {
    this.#options = options
    this.#tau = expectedTau(options.litres)
  }

  /** Takes the next good reading in. One that is late, repeated or no number changes nothing. */
  take(reading: WaterSample): void {
    const closed = this.#gatherer.take(reading)
    if (closed !== null) this.#keep(closed)
  }

  /** The response as of the newest reading, or `null` before the first. */
  fit(told?: ToldByLamp): ThermalResponse | null {
    const open = this.#gatherer.open()
    if (open === null) return null
    const pieces = [...this.#coarse, ...this.#fine, open]
    const cycle = this.#cycles.cycle()
    const columns = this.#columns(pieces)
    const cases = cycle
      ? [this.#cycling(cycle)]
      : posteriorOf(columns, {
          tau: this.#tau,
          equilibrium: this.#equilibrium(pieces),
          lookBack: LOOK_BACK,
          told: told && {
            at: pieces.findIndex(({ atMs }) => atMs >= told.atMs),
            chance: told.chance,
            equilibrium: { meanC: told.headsToC, sdC: told.sdC },
          },
          refine: true,
        }).cases
    return this.#response(pieces, cases, cycle, this.#gatherer.lastMs)
  }

  /**
   * Where the water was taken to settle at earlier moments, each by what had been measured till then: so long before the newest reading,
   * ms. Before the first reading it is the plan, if there is one; what lies before a change that is beyond doubt is left out.
   */
  heldBefore(agesMs: readonly number[]): readonly Held[] {
    const nowMs = this.#gatherer.lastMs
    if (!Number.isFinite(nowMs) || this.#cycles.cycle()) return []
    const all = [...this.#coarse, ...this.#fine]
    return agesMs.flatMap(ageMs => {
      const pieces = all.filter(({ atMs }) => atMs <= nowMs - ageMs)
      const last = pieces.at(-1)
      if (last !== undefined && pieces.length > 1)
        return [this.#heldAt(pieces, (nowMs - last.atMs) / HOUR_MS)]
      const { plannedC } = this.#options
      if (this.#changed || plannedC === undefined) return []
      const plan = { weight: 1, equilibriumC: plannedC, equilibriumVar: PLANNED_SD_C ** 2 }
      return [{ cases: [{ ...plan, tauH: this.#tau.medianH }], foretoldC: null }]
    })
  }

  #heldAt(pieces: readonly Piece[], hoursAgo: number): Held {
    const { cases } = posteriorOf(this.#columns(pieces), {
      tau: this.#tau,
      equilibrium: this.#equilibrium(pieces),
      lookBack: GLANCE_BACK,
      refine: false,
    })
    const foretoldC = cases.reduce((sum, one) => sum + one.weight * later(one, hoursAgo).levelC, 0)
    return { cases, foretoldC }
  }

  #keep(piece: Piece): void {
    this.#cycles.take(piece)
    this.#fine.push(piece)
    const oldest = Math.floor((piece.slot - FINE_SLOTS) / COARSE_SLOTS) * COARSE_SLOTS
    while ((this.#fine[0]?.slot ?? Infinity) < oldest) this.#age()
    if (this.#coarse.length > MOST_COARSE) this.#dropOldest()
    const before = this.#fine.at(-2)?.slot ?? piece.slot
    if (Math.floor(piece.slot / FINE_SLOTS) !== Math.floor(before / FINE_SLOTS)) this.#settle()
  }

  /** Makes one piece of the oldest pieces that share a slot of five minutes. */
  #age(): void {
    const first = this.#fine[0]
    if (first === undefined) return
    const slot = Math.floor(first.slot / COARSE_SLOTS)
    let together = first
    let used = 1
    for (; Math.floor((this.#fine[used]?.slot ?? -1) / COARSE_SLOTS) === slot; used++) {
      together = merged(together, this.#fine[used] ?? together)
    }
    this.#fine.splice(0, used)
    this.#coarse.push(together)
  }

  #dropOldest(): void {
    this.#learnFrom(this.#coarse.slice(0, DROPPED_COARSE))
    this.#coarse.splice(0, DROPPED_COARSE)
  }

  /** Lets go of what lies before a change that is beyond doubt, but for what it told of the time constant. */
  #settle(): void {
    const pieces = [...this.#coarse, ...this.#fine]
    if (pieces.length < SETTLED_PIECES || this.#cycles.cycle()) return
    const columns = this.#columns(pieces)
    const glance = (lookBack: readonly number[]) =>
      posteriorOf(columns, {
        tau: this.#tau,
        equilibrium: this.#equilibrium(pieces),
        lookBack,
        refine: false,
      }).cases
    // Mostly nothing changed, and a few moments are enough to see that.
    if ((sharesBySince(glance(SETTLING_GLANCE)).get(0) ?? 0) > 0.5) return
    const cases = glance(SETTLING_LOOK_BACK)
    const shares = sharesBySince(cases)
    const old = [...shares].filter(([at]) => at > 0 && pieces.length - at >= SETTLED_PIECES)
    const certain = old.reduce((sum, [, share]) => sum + share, 0)
    if (certain < SETTLED_SHARE) return
    const [at] = old.reduce((best, one) => (one[1] > best[1] ? one : best))
    this.#learnFrom(pieces.slice(0, at))
    const { atMs = 0 } = pieces[at] ?? {}
    this.#coarse = this.#coarse.filter(piece => piece.atMs >= atMs)
    this.#fine = this.#fine.filter(piece => piece.atMs >= atMs)
    this.#changed = true
  }

  /** Carries over what pieces that are let go told of the time constant; they are used for nothing else any more. */
  #learnFrom(pieces: readonly Piece[]): void {
    if (pieces.length < SETTLED_PIECES || this.#cycles.cycle()) return
    const { tau } = posteriorOf(this.#columns(pieces), {
      tau: this.#tau,
      equilibrium: this.#equilibrium(pieces),
      lookBack: [],
      refine: true,
    })
    this.#tau = { medianH: tau.medianH, lnSd: Math.max(tau.lnSd, LEARNED_LN_SD) }
  }

  #equilibrium(pieces: readonly Piece[]): EquilibriumBelief {
    const { plannedC } = this.#options
    const firstC = pieces[0]?.waterC ?? 0
    if (this.#changed) return { meanC: firstC, sdC: CHANGED_SD_C }
    return plannedC !== undefined && Number.isFinite(plannedC)
      ? { meanC: plannedC, sdC: PLANNED_SD_C }
      : { meanC: firstC, sdC: UNPLANNED_SD_C }
  }

  #columns(pieces: readonly Piece[]): PieceColumns {
    const count = pieces.length
    const originMs = pieces[0]?.atMs ?? 0
    const { scatter } = this.#gatherer
    const atH = new Float64Array(count)
    const waterC = new Float64Array(count)
    const variance = new Float64Array(count)
    pieces.forEach((piece, at) => {
      atH[at] = (piece.atMs - originMs) / HOUR_MS
      waterC[at] = piece.waterC
      variance[at] = pieceVariance(piece.readings, scatter)
    })
    return { count, atH, waterC, variance }
  }

  #cycling({ meanC, swingC }: HeaterCycle): ThermalCase {
    const variance = (CYCLE_MEAN_SHARE * swingC) ** 2
    return {
      weight: 1,
      tauH: this.#tau.medianH,
      levelC: meanC,
      equilibriumC: meanC,
      levelVar: variance,
      covariance: variance,
      equilibriumVar: variance,
      sinceAt: 0,
    }
  }

  #response(
    pieces: readonly Piece[],
    cases: readonly ThermalCase[],
    cycle: HeaterCycle | null,
    asOfMs: number,
  ): ThermalResponse {
    // A piece tells of its middle; the newest reading may be up to a piece later.
    const laterH = (asOfMs - (pieces.at(-1)?.atMs ?? asOfMs)) / HOUR_MS
    const moved = cases.map(one => later(one, laterH))
    const [sinceAt] = [...sharesBySince(cases)].reduce((best, one) => (one[1] > best[1] ? one : best))
    return {
      asOfMs,
      levelC: bandOf(moved, one => [one.levelC, one.levelVar]),
      equilibriumC: bandOf(moved, one => [one.equilibriumC, one.equilibriumVar]),
      timeConstantH: cycle
        ? spread(this.#tau)
        : weightedBand(cases.map(({ tauH, weight }) => ({ value: tauH, weight }))),
      noiseC: this.#gatherer.scatter.noiseC,
      sinceMs: pieces[sinceAt]?.atMs ?? asOfMs,
      pieces: pieces.length - sinceAt,
      cycle,
      cases: moved,
    }
  }
}

function sharesBySince(cases: readonly ThermalCase[]): Map<number, number> {
  const shares = new Map<number, number>()
  for (const { sinceAt, weight } of cases) shares.set(sinceAt, (shares.get(sinceAt) ?? 0) + weight)
  return shares
}

function bandOf(
  cases: readonly ThermalCase[],
  pick: (one: ThermalCase) => readonly [mean: number, variance: number],
) {
  return weightedBand(
    cases.flatMap(one => {
      const [mean, variance] = pick(one)
      const sd = Math.sqrt(Math.max(variance, 0))
      return FIFTHS.map(z => ({ value: mean + z * sd, weight: one.weight }))
    }),
  )
}

function spread({ medianH, lnSd }: TauBelief) {
  const { p10, p90 } = { p10: Math.exp(FIFTHS[0] * lnSd), p90: Math.exp(FIFTHS[4] * lnSd) }
  return { p10: medianH * p10, p50: medianH, p90: medianH * p90 }
}
