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

/** `9.5 h after the start`; `2 h before the start`. */
export function afterStart({ input }: Case, atMs: number): string {
  const hours = (atMs - input.batch.startedAtMs) / 3_600_000
  return hours < 0 ? `${hoursWords(-hours)} before the start` : `${hoursWords(hours)} after the start`
}

/** `40 min`, `2.5 h`, `14 h`. */
export function hoursWords(hours: number): string {
  if (hours < 1.5) return `${Math.round(hours * 60)} min`
  return hours < 10 ? `${Number(hours.toFixed(1))} h` : `${Math.round(hours)} h`
}

/** `27.4 °C (81.3 °F)`, as all words of the service give a temperature. */
export const degrees = (celsius: number): string =>
  `${celsius.toFixed(1)} °C (${celsiusToFahrenheit(celsius).toFixed(1)} °F)`
/** How far apart two temperatures are: `1.1 °C (2.0 °F)`. */
export const degreesApart = (celsius: number): string =>
  `${celsius.toFixed(1)} °C (${((celsius * 9) / 5).toFixed(1)} °F)`
export const number = (value: number, digits = 1): string => String(Number(value.toFixed(digits)))

export const FAO_428 = 'New 2002, FAO Fisheries Technical Paper 428, Annex 4'
export const AFTER_FAO_361 = 'After Lavens & Sorgeloos 1996, FAO Fisheries Technical Paper 361'
export const TRADE = 'Common practice of the trade, no source'
