import { StoreError, StoreErrorCode } from './contract.ts'

/** It was asked of a store that is closed. */
export function closed(doing: string): StoreError {
  return new StoreError(StoreErrorCode.closed, `Cannot ${doing}: the store is closed`)
}

export function openedForReading(doing: string): StoreError {
  const rule = 'the store must be open for writing, got one that was opened for reading alone'
  return new StoreError(StoreErrorCode.readOnly, `Cannot ${doing}: ${rule}`)
}

/** Readings are the service's alone. */
export function openedBeside(doing: string): StoreError {
  const rule = 'only the service may, and this store was opened beside it'
  return new StoreError(StoreErrorCode.readOnly, `Cannot ${doing}: ${rule}`)
}
