import type { Band, HarvestGoal, LotBelief } from '../hatch/contract.ts'
import type { NaupliiCounted } from '../hatch/lot/evidence.ts'
import type { Role, Sample } from '../store/contract.ts'

/**
 * What a diagnosis takes and gives. Times are Unix ms, temperatures °C, air l/min for each litre of water. Pure: no clock, no I/O.
 */

/** What can have spoilt a batch, or the record of it. */
export const CauseKind = {
  tooHot: 'too-hot',
  tooCool: 'too-cool',
  airLost: 'air-lost',
  dark: 'dark-at-first',
  tooDense: 'too-dense',
  salinityOff: 'salinity-off',
  phOff: 'ph-off',
  harvestedEarly: 'harvested-early',
  harvestedLate: 'harvested-late',
  weakLot: 'weak-lot',
  stratified: 'stratified',
  probeWrong: 'probe-wrong',
  probeOutOfWater: 'probe-out-of-water',
  readingsMissing: 'readings-missing',
} as const
export type CauseKind = (typeof CauseKind)[keyof typeof CauseKind]

/** Kinds that spoil what is known of a batch rather than the batch itself. */
export const RECORD_KINDS: readonly CauseKind[] = [
  CauseKind.probeWrong,
  CauseKind.probeOutOfWater,
  CauseKind.readingsMissing,
]

/** What was measured. */
export type Measured = Role

/** The batch as it was set up. */
export interface DiagnosedBatch {
  readonly startedAtMs: number
  readonly endedAtMs: number | null
  readonly litres: number
  readonly cystsG: number
  readonly salinityGpl: number
  readonly goal: HarvestGoal
}

/** What persons wrote down of it. Everything is optional: what was not written is not known. */
export interface WrittenDown {
  readonly firstSwimmersAtMs?: number
  /** Totals over all samples of each count; their development is reckoned here and need not be right. */
  readonly counts?: readonly Omit<NaupliiCounted, 'degH' | 'degHSd' | 'kind'>[]
  /** When it was drawn off; the harvest's count or the end of the batch stand in for it. */
  readonly harvestedAtMs?: number
  /** Measured with a meter or strip. */
  readonly pH?: readonly { readonly atMs: number; readonly pH: number }[]
  /** Measured with a refractometer or hydrometer, g/l. */
  readonly salinity?: readonly { readonly atMs: number; readonly gpl: number }[]
  /** The vessel's water by another thermometer. */
  readonly waterChecked?: readonly { readonly atMs: number; readonly waterC: number }[]
  /** Air that was turned off on purpose, as for a harvest. */
  readonly airOff?: readonly Span[]
}

/** What is known of the lot from its other batches. */
export interface KnownLot {
  /** As it was believed before this batch: of a batch of it that is well kept. */
  readonly belief: LotBelief
  /** How many of its earlier batches were counted. */
  readonly counted: number
}

/** The rules' limits that a person set. */
export interface DiagnosisLimits {
  readonly tooHotC: number
  readonly tooCoolC: number
  readonly airLpmPerL: number
}

export interface DiagnosisInput {
  readonly batch: DiagnosedBatch
  /** For an open batch the diagnosis is as of then. */
  readonly nowMs: number
  /** Good, bad and missing alike, oldest first, calibration applied; from half a day before the start to half a day after the end. */
  readonly readings: Readonly<Partial<Record<Measured, readonly Sample[]>>>
  readonly written: WrittenDown
  /** Whether anything was to measure its water at all; `true` when left out. Where nothing was, no reading is missing. */
  readonly watched?: boolean
  readonly lot: KnownLot
  /** Of the room above the sea, m. */
  readonly altitudeM: number
  readonly limits: DiagnosisLimits
}

export interface Span {
  readonly fromMs: number
  readonly toMs: number
}

/** One thing that speaks for a cause. */
export interface Evidence {
  /** Where it is measured; `null` for what was written down. */
  readonly role: Measured | null
  /** When it was so; none for what held all the time. */
  readonly spans: readonly Span[]
  /** What was found, and against what, in the same unit. */
  readonly value: number
  readonly limit: number | null
  readonly unit: '°C' | 'l/min/l' | 'lx' | 'h' | 'g/l' | 'pH' | '%' | 'mg/l'
  /** Where the limit comes from, in words for a person. */
  readonly source: string
  readonly words: string
}

/** What a cause took. Bands are of what is not known: the lot, and effects of which no source gives a figure. */
export interface Cost {
  /** Points of hatch percentage: living nauplii at the harvest, of all full cysts. */
  readonly hatchPoints: Band
  /** The same with each nauplius weighed by what it is worth as food at its age. */
  readonly foodPoints: Band
  /** How much later nine in ten were out, hours; negative is sooner. */
  readonly laterH: Band
}

/** How sure, in words that go with the number. */
export const Sureness = {
  asGoodAsCertain: 'as good as certain',
  veryLikely: 'very likely',
  likely: 'likely',
  possible: 'possible',
  unlikely: 'unlikely',
} as const
export type Sureness = (typeof Sureness)[keyof typeof Sureness]

export interface Cause {
  readonly kind: CauseKind
  /** One sentence with its number and its time. */
  readonly words: string
  readonly evidence: readonly Evidence[]
  /** That it was so and mattered, 0 to 1. */
  readonly probability: number
  readonly sure: Sureness
  readonly cost: Cost
  /** The harvest's count shows no loss, so that none is in its cost: what is left is the delay. */
  readonly noLossCounted?: boolean
  /** What to change before the next batch. */
  readonly change: string
}

/** What the whole of it adds up to, in per cent of all full cysts. */
export interface Balance {
  /** Living nauplii at the harvest had none of the causes been there. */
  readonly without: Band
  /** With all of them: `without` less their hatch points. */
  readonly expected: Band
  /** What the harvest's count says, with its limits at 95 %; `null` without one. */
  readonly counted: { readonly low: number; readonly best: number; readonly high: number } | null
  /** Counted less expected: what the causes leave unexplained; `null` without a count. */
  readonly unexplained: Band | null
}

export const Verdict = {
  /** Something is named. */
  causes: 'causes',
  /** Nothing that is known went wrong. */
  nothing: 'nothing',
  /** It hatched less than can be explained: suspect the lot or what is not measured. */
  unexplained: 'unexplained',
  /** Nobody counted and nothing was off: there is nothing to judge by. */
  notCounted: 'not-counted',
} as const
export type Verdict = (typeof Verdict)[keyof typeof Verdict]

export interface Diagnosis {
  /** Changes when the same batch would be judged otherwise. */
  readonly version: number
  readonly verdict: Verdict
  /** In one sentence. */
  readonly words: string
  /** The weightiest first; each more likely than not. */
  readonly causes: readonly Cause[]
  /** They were so and could have cost something, and the harvest's count shows no loss: blamed for nothing. The likeliest first. */
  readonly risky: readonly Cause[]
  /** Looked at and not blamed: less likely than not, or without cost. The likeliest first. */
  readonly ruledOut: readonly Cause[]
  readonly balance: Balance
  /** What could not be looked at, and what would have told: "No light sensor: ..." */
  readonly blindSpots: readonly string[]
}

export const DIAGNOSIS_VERSION = 4
