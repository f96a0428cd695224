const HOUR_MS = 3_600_000
/** A start up to so long before its time needs no question. Own choice. */
const EARLY_MS = HOUR_MS

/** How long before its time a start would be begun now: `5 hours`, `2 days`; empty where that needs no question. */
export function earlyStart(atMs: number, nowMs: number): string {
  const earlyMs = atMs - nowMs
  if (earlyMs <= EARLY_MS) return ''
  const hours = Math.max(1, Math.round(earlyMs / HOUR_MS))
  if (hours < 36) return hours === 1 ? '1 hour' : `${hours} hours`
  return `${Math.round(hours / 24)} days`
}
