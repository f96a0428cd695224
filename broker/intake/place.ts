import { ABSOLUTE_FROM_S } from '../../firmware-protocol/senml.ts'

/** A clock may be wrong by this much ahead. Own choice: more than an unsynchronised hour's drift, less than a time zone. */
export const AHEAD_MS = 5 * 60_000
/** Older than this is taken for a wrong clock. Own choice: a year of backlog and a month. */
export const OLDEST_MS = 400 * 86_400_000
/** Rounding may put a relative time this far into the future. Own choice: several sample intervals. */
export const RELATIVE_AHEAD_S = 5
/** A message that comes this much later than its uptime says has waited on its way. Own choice: above any radio's retries. */
export const WAITED_MS = 30_000
/**
 * How much a device's clock may gain or lose without being taken for waiting. Own choice: several times what crystals of
 * microcontrollers do (20 to 50 parts per million, from memory).
 */
const DRIFT = 200e-6
/** A lag that stays the same for so long is the clock here that was set, not a queue that empties. Own choice. */
const STEADY_MS = 120_000
const STEADY_WITHIN_MS = 5000

/** When a device was switched on, as well as its messages tell. */
interface Start {
  /** Unix ms; the smallest seen of receipt minus uptime, since waiting can only make it larger. */
  originMs: number
  lastAtMs: number
  /** A later origin that messages have agreed on since `steadySinceMs`. */
  steadyMs: number
  steadySinceMs: number
}

/**
 * When each pack was sent. Relative times hang on this moment: it is the receipt, except for a message that waited (in an
 * external broker's queue) and says so by its uptime.
 */
export function createSendTimes(limits: { boots?: number } = {}): {
  sentAt(device: string, boot: string | null, uptimeS: number | null, receivedAtMs: number): number
} {
  const most = limits.boots ?? 4096
  // At the limit the power-up that was met first is forgotten: its next message counts as sent when received.
  const starts = new Map<string, Start>()
  return {
    sentAt(device, boot, uptimeS, receivedAtMs) {
      if (boot === null || uptimeS === null) return receivedAtMs
      const key = `${device}/${boot}`
      const uptimeMs = uptimeS * 1000
      const originMs = receivedAtMs - uptimeMs
      const start = starts.get(key)
      if (start === undefined) {
        if (starts.size >= most) starts.delete(starts.keys().next().value!)
        starts.set(key, {
          originMs,
          lastAtMs: receivedAtMs,
          steadyMs: originMs,
          steadySinceMs: receivedAtMs,
        })
        return receivedAtMs
      }
      const drifted = start.originMs + DRIFT * Math.max(0, receivedAtMs - start.lastAtMs)
      start.lastAtMs = receivedAtMs
      start.originMs = Math.min(drifted, originMs)
      if (Math.abs(originMs - start.steadyMs) > STEADY_WITHIN_MS || receivedAtMs < start.steadySinceMs) {
        start.steadyMs = originMs
        start.steadySinceMs = receivedAtMs
      } else if (receivedAtMs - start.steadySinceMs >= STEADY_MS) start.originMs = originMs
      return originMs - start.originMs > WAITED_MS ? Math.round(start.originMs + uptimeMs) : receivedAtMs
    },
  }
}

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
