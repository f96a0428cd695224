import type { Band } from '../contract.ts'

/**
 * What a gram of dry cysts takes before the nauplii emerge, mg of oxygen an hour at {@link CYSTS_MEASURED_AT_C}.
 * Glasheen & Hand 1989, Journal of Experimental Biology 145:263, from the heat that hydrated embryos give off. Its upper end
 * is that paper's embryos that had just been given their water back (135 %). A lower end was not read: it is taken as
 * far below the middle, on a scale of ratios, as the upper end lies above it (own choice; it lengthens only the long end).
 */
export const CYST_DEMAND_MGPGH: Band = { p10: 1.17 / 1.35, p50: 1.17, p90: 1.17 * 1.35 }

/** From memory: the abstract does not say it. */
export const CYSTS_MEASURED_AT_C = 25

/**
 * What a nauplius takes, ng of oxygen an hour, over {@link NAUPLII_MEASURED_AT_C}: 0.8 to 1.3 nmol. Reckoned from Irwin, Wall &
 * Davenport 2007, doi 10.1007/s10750-006-0358-y, and from Paffenhöfer 1967 with the dry weights of Vanhaecke, Lavens &
 * Sorgeloos 1983. The middle is the geometric mean (own choice).
 */
export const NAUPLIUS_DEMAND_NGPH: Band = { p10: 25, p50: Math.sqrt(25 * 42), p90: 42 }

/** The range above was measured over these temperatures: within them it already holds what temperature does. */
export const NAUPLII_MEASURED_AT_C = { from: 25, to: 30 } as const

/**
 * How many times faster respiration is at 10 °C more: 1.82 to 2.04 over three strains, about 1.9 (Varó, Taylor & Amat 1998,
 * Comparative Biochemistry and Physiology A 120:385). Measured on adults and used here for embryos and nauplii too.
 */
export const RESPIRATION_Q10: Band = { p10: 1.82, p50: 1.9, p90: 2.04 }

/**
 * Nauplii out of a gram of a good product: 200,000 to 300,000 (Treece 2000, SRAC Publication 702), here not above the 275,000 cysts
 * that a gram can hold (3.64 µg each: Clegg). The lower end is also the middle, as it is for the lot that was never counted.
 */
export const NAUPLII_PER_G: Band = { p10: 200_000, p50: 200_000, p90: 275_000 }

/** What lives in the water. */
export interface OxygenLoad {
  /** Dry cysts that went in, g for each litre of water; 0 or more. */
  readonly cystsGpl: number
  /**
   * Share of those that will hatch that is out of the shell, 0 to 1. Umbrella stages count in: no source says how much less they
   * take than nauplii.
   */
  readonly hatched: Band
  /** What a gram yields when all have hatched; {@link NAUPLII_PER_G} when left out. */
  readonly naupliiPerG?: Band
}

/**
 * Oxygen that is taken out of the water, mg per litre and hour. Each end of the band takes the same end of everything in it
 * (load, rate, temperature), so it is wider than 80 %: where a wrong figure costs a vessel, that is the side to err on.
 * Cysts that have hatched leave shells, which take nothing; those that never hatch are counted as if they still could.
 *
 * @param waterC beyond 0 to 40 °C the nearest of the two is taken
 * @throws RangeError for a load that is no amount
 */
export function oxygenDemand(load: OxygenLoad, waterC: number): Band {
  const { cystsGpl, hatched, naupliiPerG = NAUPLII_PER_G } = load
  amount('cysts in g/l', cystsGpl, Infinity)
  for (const share of [hatched.p10, hatched.p50, hatched.p90]) amount('hatched share', share, 1)
  for (const yielded of [naupliiPerG.p10, naupliiPerG.p50, naupliiPerG.p90]) {
    amount('nauplii per gram', yielded, Infinity)
  }
  const cysts = respirationPace(waterC, CYSTS_MEASURED_AT_C, CYSTS_MEASURED_AT_C)
  const nauplii = respirationPace(waterC, NAUPLII_MEASURED_AT_C.from, NAUPLII_MEASURED_AT_C.to)
  const end = (at: keyof Band, share: number) => {
    const perCystG = CYST_DEMAND_MGPGH[at] * cysts[at]
    const perHatchedG = naupliiPerG[at] * NAUPLIUS_DEMAND_NGPH[at] * 1e-6 * nauplii[at]
    return cystsGpl * (Math.max(1 - share, 0) * perCystG + share * perHatchedG)
  }
  return { p10: end('p10', hatched.p10), p50: end('p50', hatched.p50), p90: end('p90', hatched.p90) }
}

/** How fast respiration is against where it was measured: 1 between `fromC` and `toC`, by Q10 outside. */
export function respirationPace(waterC: number, fromC: number, toC: number): Band {
  if (!Number.isFinite(waterC)) {
    throw new RangeError(`Cannot reckon respiration: the water temperature must be a number, got ${waterC}`)
  }
  const water = Math.min(Math.max(waterC, 0), 40)
  const tens = (water - Math.min(Math.max(water, fromC), toC)) / 10
  const [least, most] =
    tens < 0 ? [RESPIRATION_Q10.p90, RESPIRATION_Q10.p10] : [RESPIRATION_Q10.p10, RESPIRATION_Q10.p90]
  return { p10: least ** tens, p50: RESPIRATION_Q10.p50 ** tens, p90: most ** tens }
}

// A share that was interpolated between shares may end a rounding error above 1: the alarm must not fail for it.
function amount(what: string, value: number, most: number): void {
  if (value >= 0 && value <= most * (1 + 1e-9) && value < Infinity) return
  const range = most === Infinity ? '0 or more' : `0 to ${most}`
  throw new RangeError(`Cannot reckon oxygen demand: ${what} must be ${range}, got ${value}`)
}
