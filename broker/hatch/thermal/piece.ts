import type { WaterSample } from '../contract.ts'

/** Readings are gathered into so long pieces, each giving its median; ms. */
export const PIECE_MS = 60_000
/** Readings closer than this to the last one taken tell nothing new of water, ms. */
const APART_MS = 4000
/** The most readings that one piece can take: one each {@link APART_MS}. */
const MOST_IN_PIECE = 15
/** Assumed until readings show their own step: 12 bits of a DS18B20 (datasheet), °C. */
const USUAL_STEP_C = 0.0625
/** A probe's step is never taken for coarser than this, °C. */
const COARSEST_STEP_C = 0.5
/** A reading's scatter until readings show their own, °C. Own choice. */
const USUAL_NOISE_C = 0.03
/** Each surprise moves the running median of scatter by this factor. */
const NOISE_STEP = 1.06
/** Turns the median of |reading - middle of its neighbours| into the scatter of single readings: 1 / (0.6745 × √1.5). */
const MEDIAN_TO_NOISE = 1.2105
/** A variance that keeps arithmetic finite where readings have no scatter at all, °C². */
const LEAST_VARIANCE = 1e-10

/** A short stretch of readings as one: when, how warm, and how far that may be off. */
export interface Piece {
  readonly slot: number
  readonly atMs: number
  readonly waterC: number
  readonly readings: number
}

/** How far single readings scatter, and the step in which they come; both learned from the readings. */
export interface ProbeScatter {
  readonly noiseC: number
  readonly stepC: number
}

/** Gathers readings into pieces, and learns the probe's scatter by the way. Fixed in size; each reading costs the same. */
export class PieceGatherer {
  #slot = NaN
  #count = 0
  readonly #atMs = new Float64Array(MOST_IN_PIECE + 1)
  readonly #waterC = new Float64Array(MOST_IN_PIECE + 1)
  #lastMs = -Infinity
  #lastC = NaN
  #beforeMs = NaN
  #beforeC = NaN
  #typicalMissC = USUAL_NOISE_C / MEDIAN_TO_NOISE
  #stepC = Infinity

  /** The piece that this reading closed, or `null`. Late, repeated and numberless readings change nothing. */
  take({ atMs, waterC }: WaterSample): Piece | null {
    if (!(atMs - this.#lastMs >= APART_MS) || !isTemperature(waterC) || !Number.isFinite(atMs)) return null
    this.#learnScatter(atMs, waterC)
    const slot = Math.floor(atMs / PIECE_MS)
    let closed: Piece | null = null
    if (slot !== this.#slot) {
      closed = this.open()
      this.#slot = slot
      this.#count = 0
    }
    this.#atMs[this.#count] = atMs
    this.#waterC[this.#count] = waterC
    if (this.#count < MOST_IN_PIECE) this.#count++
    return closed
  }

  /** The piece that is still being gathered, as far as it has come. */
  open(): Piece | null {
    if (this.#count === 0) return null
    return {
      slot: this.#slot,
      // Both medians, so that a steady rise stays where it is.
      atMs: middleOf(this.#atMs, this.#count),
      waterC: medianOf(this.#waterC, this.#count),
      readings: this.#count,
    }
  }

  /** The newest reading's time, Unix ms; `-Infinity` before the first. */
  get lastMs(): number {
    return this.#lastMs
  }

  get scatter(): ProbeScatter {
    const stepC = Number.isFinite(this.#stepC) ? Math.min(this.#stepC, COARSEST_STEP_C) : USUAL_STEP_C
    return { noiseC: this.#typicalMissC * MEDIAN_TO_NOISE, stepC }
  }

  #learnScatter(atMs: number, waterC: number): void {
    const changeC = Math.abs(waterC - this.#lastC)
    if (changeC > 1e-9 && changeC < this.#stepC) this.#stepC = changeC
    const wholeMs = atMs - this.#beforeMs
    // Across a silence the straight line between neighbours says nothing.
    if (wholeMs < 10 * PIECE_MS) {
      const share = (this.#lastMs - this.#beforeMs) / wholeMs
      const missC = Math.abs(this.#lastC - this.#beforeC - (waterC - this.#beforeC) * share)
      const grown = missC > this.#typicalMissC ? NOISE_STEP : 1 / NOISE_STEP
      this.#typicalMissC = Math.min(Math.max(this.#typicalMissC * grown, 1e-6), 2)
    }
    this.#beforeMs = this.#lastMs
    this.#beforeC = this.#lastC
    this.#lastMs = atMs
    this.#lastC = waterC
  }
}

/** What a probe can say at all, °C (DS18B20 datasheet): anything else is no temperature. */
const PROBE_RANGE_C = { low: -55, high: 125 } as const

function isTemperature(waterC: number): boolean {
  return waterC >= PROBE_RANGE_C.low && waterC <= PROBE_RANGE_C.high
}

/** How far a piece's median may be from the water, as a variance, °C². */
export function pieceVariance(readings: number, { noiseC, stepC }: ProbeScatter): number {
  // A median scatters π/2 times as much as a mean does. Rounding averages out only where scatter shakes the reading over steps.
  const rounding = (stepC * stepC) / 12 / (noiseC > stepC / 3 ? readings : 1)
  return LEAST_VARIANCE + (readings > 2 ? Math.PI / 2 : 1) * ((noiseC * noiseC) / readings) + rounding
}

/** Two neighbouring pieces as one. */
export function merged(one: Piece, other: Piece): Piece {
  const readings = one.readings + other.readings
  const share = other.readings / readings
  return {
    slot: one.slot,
    atMs: one.atMs + (other.atMs - one.atMs) * share,
    waterC: one.waterC + (other.waterC - one.waterC) * share,
    readings,
  }
}

/** Sorts a copy by insertion: for some fifteen values that is quicker than a general sort. */
function medianOf(values: Float64Array, count: number): number {
  const sorted: number[] = []
  for (let at = 0; at < count; at++) {
    const value = values[at] ?? 0
    let place = at
    for (; place > 0 && (sorted[place - 1] ?? 0) > value; place--) sorted[place] = sorted[place - 1] ?? 0
    sorted[place] = value
  }
  return middleOf(sorted, count)
}

function middleOf(sorted: ArrayLike<number>, count: number): number {
  const upper = sorted[count >> 1] ?? NaN
  return count % 2 === 1 ? upper : ((sorted[(count >> 1) - 1] ?? upper) + upper) / 2
}
