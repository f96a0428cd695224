import { celsiusToFahrenheit } from '../../hatch/units.ts'
import type { CauseKind, DiagnosisInput, Evidence } from '../contract.ts'
import type { BatchRecord } from '../record/record.ts'

/** Something that was off, as far as the record and what was written down tell. What it cost is the model's to say. */
export interface Suspect {
  readonly kind: CauseKind
  /** One sentence with its number and its time. */
  readonly words: string
  readonly evidence: readonly Evidence[]
  /** How sure it is that it was so, 0 to 1. */
  readonly real: number
  readonly change: string
}

/** What a suspect is looked for in. */
export interface Case {
  readonly input: DiagnosisInput
  readonly record: BatchRecord
}

/** `9 h 30 min after the start`; `2 h before the start`. */
export function afterStart({ input }: Case, atMs: number): string {
  const hours = (atMs - input.batch.startedAtMs) / 3_600_000
  return hours < 0 ? `${hoursWords(-hours)} before the start` : `${hoursWords(hours)} after the start`
}

/** `40 min`, `2 h 30 min`, `14 h`: whole minutes that have passed, so that one span reads the same wherever it is told. */
export function hoursWords(hours: number): string {
  // Hours are sums of parts of an hour: a full minute may be short of itself by their last digits.
  const minutes = Math.floor(hours * 60 + 1e-6)
  const [h, min] = [Math.floor(minutes / 60), minutes % 60]
  if (h === 0) return `${min} min`
  return min === 0 ? `${h} h` : `${h} h ${min} min`
}

/** `27.4 °C (81.3 °F)`, as all words of the service give a temperature. */
export const degrees = (celsius: number): string =>
  `${celsius.toFixed(1)} °C (${celsiusToFahrenheit(celsius).toFixed(1)} °F)`
/** How far apart two temperatures are: `1.1 °C (2.0 °F)`. */
export const degreesApart = (celsius: number): string =>
  `${celsius.toFixed(1)} °C (${((Number(celsius.toFixed(1)) * 9) / 5).toFixed(1)} °F)`
export const number = (value: number, digits = 1): string => String(Number(value.toFixed(digits)))

export const FAO_428 = 'New 2002, FAO Fisheries Technical Paper 428, Annex 4'
export const AFTER_FAO_361 = 'After Lavens & Sorgeloos 1996, FAO Fisheries Technical Paper 361'
export const TRADE = 'Common practice of the trade, no source'
