import type { Batch } from '../../broker/web/api/batches.ts'
import { lotToKeep } from '../words/lot-name.ts'
import { localInput, type Zone } from '../words/time.ts'
import { readNumber } from './form.ts'

/** What stands in the fields of a correction, as it was typed. */
export interface CorrectionText {
  readonly litres: string
  readonly cystsG: string
  readonly salinityGpl: string
  readonly lot: string
  readonly note: string
  readonly startedAt: string
  /** Empty for a batch that is still open. */
  readonly endedAt: string
}

/** What is asked of the broker: only what is another than before. */
export interface Correction {
  litres?: number
  cystsG?: number
  salinityGpl?: number
  lot?: string | null
  note?: string | null
  startedAt?: string
  endedAt?: string
}

/** A batch as it was written down, in the fields. */
export function correctionText(batch: Batch, zone: Zone): CorrectionText {
  return {
    litres: String(batch.litres),
    cystsG: String(batch.cystsG),
    salinityGpl: String(batch.salinityGpl),
    lot: batch.lot ?? '',
    note: batch.note ?? '',
    startedAt: localInput(Date.parse(batch.startedAt), zone),
    endedAt: batch.endedAt === null ? '' : localInput(Date.parse(batch.endedAt), zone),
  }
}

/**
 * What was changed in the fields, or what is wrong with which. A field that was left alone is not sent: its minute would take the
 * place of a second, and its rounding that of a number.
 */
export function readCorrection(
  batch: Batch,
  typed: CorrectionText,
  knownLots: readonly string[],
  zone: Zone,
): { readonly change: Correction; readonly wrong: ReadonlyMap<string, string> } {
  const before = correctionText(batch, zone)
  const change: Correction = {}
  const wrong = new Map<string, string>()
  const number = (
    name: 'litres' | 'cystsG' | 'salinityGpl',
    fits: (value: number) => boolean,
    words: string,
  ) => {
    if (typed[name].trim() === before[name]) return
    const value = readNumber(typed[name])
    if (value === null || !fits(value)) wrong.set(name, words)
    else change[name] = value
  }
  number('litres', value => value > 0, 'Write the litres of water as a number above 0.')
  number('cystsG', value => value > 0, 'Write the grams of cysts as a number above 0.')
  number('salinityGpl', value => value >= 0, 'Write the salt as a number.')
  const lot = lotToKeep(typed.lot, knownLots)
  if (lot !== before.lot) change.lot = lot === '' ? null : lot
  const note = typed.note.trim()
  if (note !== before.note.trim()) change.note = note === '' ? null : note
  for (const name of ['startedAt', 'endedAt'] as const) {
    if (typed[name] === before[name]) continue
    const atMs = Date.parse(typed[name])
    if (Number.isNaN(atMs)) wrong.set(name, 'Choose a date and a time.')
    else change[name] = new Date(atMs).toISOString()
  }
  if (wrong.size === 0 && batch.endedAt !== null) {
    const startedMs = Date.parse(change.startedAt ?? batch.startedAt)
    if (Date.parse(change.endedAt ?? batch.endedAt) <= startedMs)
      wrong.set(change.endedAt === undefined ? 'startedAt' : 'endedAt', 'It began before it ended.')
  }
  return { change, wrong }
}
