import type { PlacedPack, Reading } from '../intake/reading.ts'
import { markOf } from './codec/mark.ts'
import { StoreError, StoreErrorCode } from './contract.ts'

/** Latest time that can be kept, Unix ms: changes of steps, doubled for their sign, stay exact up to here. */
const LATEST_MS = 2 ** 51

/** @throws StoreError of code `failed` for a time that cannot be kept exactly. */
export function checkTime(ms: number): void {
  if (Number.isInteger(ms) && ms >= 0 && ms <= LATEST_MS) return
  throw refusal(`its times must be whole milliseconds from 0 to ${LATEST_MS}, got ${ms}`)
}

/** @throws StoreError of code `failed` for a receipt or a number that cannot be kept exactly. */
export function checkHeader({ seq, receivedAtMs }: PlacedPack): void {
  checkTime(receivedAtMs)
  if (seq !== null && !(Number.isSafeInteger(seq) && seq >= 0)) {
    throw refusal(`its number must be a whole number from 0, got ${seq}`)
  }
}

/** The byte of a reading's quality. @throws StoreError of code `failed` for one that is not known. */
export function checkedMark({ quality, value }: Reading): number {
  try {
    return markOf(quality, value === null)
  } catch (error) {
    throw refusal(error instanceof Error ? error.message : String(error))
  }
}

function refusal(rule: string): StoreError {
  return new StoreError(StoreErrorCode.failed, `Cannot keep a pack: ${rule}`)
}
