/** How much a device's clock may gain or lose. Own choice: twice what crystals of microcontrollers do (20 to 50 parts per million, from memory). */
const DRIFT = 100e-6
/**
 * The same where its rate was measured. Own choice: what the warmth of a room by day and by night makes of a crystal, and what is
 * wrong with the measuring, each some parts per million.
 */
const UNSURE = 12e-6
/** A message that comes so much later than its uptime says has waited on its way. Own choice: above what a radio's retries take. */
const WAITED_MS = 250
/** The same of a device that tells its uptime in whole seconds. */
const WAITED_COARSE_MS = 1250
/** A lag that stays the same for so long is the clock here that was set, not a queue that empties. Own choice. */
const STEADY_MS = 120_000
/** And so many messages: several waits one after the other may be alike by chance. Own choice. */
const STEADY_MESSAGES = 8
/** And so nearly the same: a queue's waits differ by more. */
const STEADY_WITHIN_MS = 250
/** A clock that is wrong by more than {@link DRIFT} is followed too, in steps, if it is not wrong by more than this. Own choice. */
const STEADY_DRIFT = 0.02
/** The rate is told from the earliest messages of two such spans ... */
const SPAN_MS = 10 * 60_000
/** ... that lie so far apart: an uneven 20 ms is then 6 parts per million. */
const APART_MS = 3_600_000

/**
 * When a device was switched on by our clock, as well as its messages tell: receipt minus uptime is that and the wait on the
 * way, so the least there is is nearest. It is a line rather than a moment, since the device's clock gains or loses.
 */
interface Line {
  originMs: number
  lastAtMs: number
  /** How much later the origin seems to lie with each ms that passes, and how wrong that may be. */
  rate: number
  unsure: number
  /** How wrong the origin may be by now. */
  slackMs: number
  /** Whether each uptime so far was a whole second. */
  isCoarse: boolean
  /** A later origin that late messages have agreed on since `steadySinceMs`; `NaN` while none is late. */
  steadyMs: number
  steadySinceMs: number
  steadyMessages: number
  /** The least origin of the present span, and of an earlier one, each with the moment it was met; `NaN` when there is none yet. */
  spanFromMs: number
  spanLeastMs: number
  spanLeastAtMs: number
  earlierMs: number
  earlierAtMs: number
}

export interface SendTimes {
  sentAt(device: string, boot: string | null, uptimeS: number | null, receivedAtMs: number): number
}

/**
 * When each pack was sent. Relative times hang on this moment: it is the receipt, except for a message that waited (in another
 * broker's queue, or in a connection that stood still) and says so by its uptime. The first message of a power-up has nothing to
 * be held against; and a wait that stays the same to a quarter of a second for two minutes is taken for our clock having been set.
 */
export function createSendTimes(limits: { boots?: number } = {}): SendTimes {
  const most = limits.boots ?? 4096
  // At the limit the power-up that was met first is forgotten: its next message counts as sent when received.
  const lines = new Map<string, Line>()
  return {
    sentAt(device, boot, uptimeS, receivedAtMs) {
      if (boot === null || uptimeS === null) return receivedAtMs
      const key = `${device}/${boot}`
      const uptimeMs = uptimeS * 1000
      const originMs = receivedAtMs - uptimeMs
      const line = lines.get(key)
      if (line === undefined) {
        if (lines.size >= most) lines.delete(lines.keys().next().value!)
        lines.set(key, begin(originMs, receivedAtMs, uptimeS))
        return receivedAtMs
      }
      if (line.isCoarse && !Number.isInteger(uptimeS)) line.isCoarse = false
      return isOnTime(line, originMs, receivedAtMs) ? receivedAtMs : Math.round(line.originMs + uptimeMs)
    },
  }
}

function begin(originMs: number, atMs: number, uptimeS: number): Line {
  return {
    originMs,
    lastAtMs: atMs,
    rate: 0,
    unsure: DRIFT,
    slackMs: 0,
    isCoarse: Number.isInteger(uptimeS),
    steadyMs: originMs,
    steadySinceMs: NaN,
    steadyMessages: 0,
    spanFromMs: atMs,
    spanLeastMs: originMs,
    spanLeastAtMs: atMs,
    earlierMs: NaN,
    earlierAtMs: NaN,
  }
}

function isOnTime(line: Line, originMs: number, atMs: number): boolean {
  const passedMs = Math.max(0, atMs - line.lastAtMs)
  line.lastAtMs = atMs
  line.originMs += line.rate * passedMs
  line.slackMs += line.unsure * passedMs
  const lateMs = originMs - line.originMs
  if (lateMs <= line.slackMs) {
    // It cannot have come before it was sent; and where it may be the clock, it is taken for the clock.
    line.originMs = originMs
    line.slackMs = 0
  } else if (lateMs <= (line.isCoarse ? WAITED_COARSE_MS : WAITED_MS)) {
    line.originMs += line.slackMs
    line.slackMs = 0
  } else return isClock(line, originMs, atMs)
  line.steadySinceMs = NaN
  measureRate(line, originMs, atMs)
  return true
}

/** Whether what looks like waiting is our clock that was set: then it is the line from now on. */
function isClock(line: Line, originMs: number, atMs: number): boolean {
  const forMs = atMs - line.steadySinceMs
  const offMs = originMs - line.steadyMs
  const mostMs = STEADY_WITHIN_MS + STEADY_DRIFT * Math.min(forMs, STEADY_MS)
  // Not so when it is the first that is late, too.
  if (!(forMs >= 0 && offMs >= -STEADY_WITHIN_MS && offMs <= mostMs)) {
    line.steadyMs = originMs
    line.steadySinceMs = atMs
    line.steadyMessages = 1
    return false
  }
  if (++line.steadyMessages < STEADY_MESSAGES || forMs < STEADY_MS) return false
  line.originMs = originMs
  line.slackMs = 0
  line.steadySinceMs = NaN
  // What was known of the rate was known by the clock as it went before.
  startSpan(line, originMs, atMs)
  line.earlierAtMs = NaN
  return true
}

/** Tells how fast the device's clock goes from the least of a span now and the least of one an hour before. */
function measureRate(line: Line, originMs: number, atMs: number): void {
  if (atMs - line.spanFromMs < SPAN_MS && atMs >= line.spanFromMs) {
    if (originMs < line.spanLeastMs) {
      line.spanLeastMs = originMs
      line.spanLeastAtMs = atMs
    }
    return
  }
  const apartMs = line.spanLeastAtMs - line.earlierAtMs
  if (Number.isNaN(apartMs) || apartMs < 0) {
    line.earlierMs = line.spanLeastMs
    line.earlierAtMs = line.spanLeastAtMs
  } else if (apartMs >= APART_MS) {
    const rate = (line.spanLeastMs - line.earlierMs) / apartMs
    line.earlierMs = line.spanLeastMs
    line.earlierAtMs = line.spanLeastAtMs
    // What no crystal does, and no measuring makes of one, is our clock that was set, or a queue.
    if (Math.abs(rate) <= DRIFT + UNSURE) {
      line.rate = rate
      line.unsure = UNSURE
    } else {
      line.rate = 0
      line.unsure = DRIFT
    }
  }
  // Where even the earliest of ten minutes was late, it is the line that fell behind: the clock's rate wanders by more than was allowed.
  const leastMs = line.spanLeastMs + line.rate * (atMs - line.spanLeastAtMs)
  if (leastMs > line.originMs) line.originMs = leastMs
  startSpan(line, originMs, atMs)
}

function startSpan(line: Line, originMs: number, atMs: number): void {
  line.spanFromMs = atMs
  line.spanLeastMs = originMs
  line.spanLeastAtMs = atMs
}
