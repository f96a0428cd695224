import { ABSOLUTE_FROM_S } from '../../firmware-protocol/senml.ts'

/** A clock may be wrong by this much ahead. Own choice: more than an unsynchronised hour's drift, less than a time zone. */
export const AHEAD_MS = 5 * 60_000
/** Older than this is taken for a wrong clock. Own choice: a year of backlog and a month. */
export const OLDEST_MS = 400 * 86_400_000
/** Rounding may put a relative time this far into the future. Own choice: several sample intervals. */
export const RELATIVE_AHEAD_S = 5
/**
 * The Unix ms of a SenML time, or a sentence that says why it cannot be believed.
 * @param timeS as resolved: Unix seconds from 2^28 on, else relative to `sentAtMs`.
 */
export function placeTime(timeS: number, sentAtMs: number, receivedAtMs: number): number | string {
  if (timeS === 0) return sentAtMs
  if (timeS >= ABSOLUTE_FROM_S) {
    const atMs = Math.round(timeS * 1000)
    if (atMs > receivedAtMs + AHEAD_MS)
      return `its time ${timeS} is more than ${AHEAD_MS / 60_000} minutes ahead; set the device's clock or send relative times`
    if (atMs < receivedAtMs - OLDEST_MS)
      return `its time ${timeS} is more than ${OLDEST_MS / 86_400_000} days ago; set the device's clock or send relative times`
    return atMs
  }
  if (timeS > RELATIVE_AHEAD_S)
    return `its time ${timeS} s is in the future; send seconds before now as a negative number`
  if (timeS * 1000 < -OLDEST_MS) return `its time ${timeS} s is more than ${OLDEST_MS / 86_400_000} days ago`
  return timeS > 0 ? sentAtMs : Math.round(sentAtMs + timeS * 1000)
}
