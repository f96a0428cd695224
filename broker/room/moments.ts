import { RoomError, RoomErrorKind } from './contract.ts'

/** Clocks of phone and server may differ by so much before "in the future" is a mistake, ms. */
export const CLOCK_SLACK_MS = 5 * 60_000

/** Refuses a moment that lies ahead: `what` cannot be done because its `which` lies in the future. */
export function notAhead(what: string, which: 'start' | 'end', atMs: number, nowMs: number): void {
  if (atMs <= nowMs + CLOCK_SLACK_MS) return
  const field = which === 'start' ? 'startedAt' : 'endedAt'
  throw new RoomError(RoomErrorKind.invalid, `Cannot ${what}: its ${which} lies in the future`, field)
}
