import { type HistoryQuery, StoreError, StoreErrorCode } from './contract.ts'

/** Buckets that one history query may ask for. */
const MOST_POINTS = 20_000

/** @throws StoreError of code `failed` for a query that no answer could be given to. */
export function checkHistoryQuery({ fromMs, toMs, points }: HistoryQuery): void {
  if (!Number.isInteger(points) || points < 1 || points > MOST_POINTS) {
    const rule = `points must be a whole number from 1 to ${MOST_POINTS}, got ${points}`
    throw new StoreError(StoreErrorCode.failed, `Cannot read history: ${rule}`)
  }
  if (!Number.isFinite(fromMs) || !Number.isFinite(toMs)) {
    const rule = `the span must have a beginning and an end, got ${fromMs} to ${toMs}`
    throw new StoreError(StoreErrorCode.failed, `Cannot read history: ${rule}`)
  }
}
