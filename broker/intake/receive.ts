import { deviceState, MAX_STATE_BYTES } from '../../firmware-protocol/device-state.ts'
import { decodePack, PackError, PackErrorCode } from '../../firmware-protocol/pack.ts'
import type { Pack } from '../../firmware-protocol/pack.ts'
import type { Clock } from '../clock.ts'
import type { AdoptedTopic } from './adopted.ts'
import { readAdopted } from './adopted.ts'
import type { IntakeLogger } from './logger.ts'
import type { DeviceRegistry, Kept, Outlet } from './outlet.ts'
import { ChannelLimit } from './channel-limit.ts'
import { createSendTimes } from './send-times.ts'
import { createJudge } from './quality.ts'
import { QUARANTINE_PAYLOAD_BYTES, QuarantineReason } from './reading.ts'
import type { DeviceReport, PlacedPack } from './reading.ts'
import { readMeasurements } from './readings.ts'
import type { Read, SetAside } from './readings.ts'
import { Repeats, Standing } from './repeats.ts'
import type { Counts } from './stats.ts'

/** A message that came in, whoever brought it. */
export interface Incoming {
  readonly device: string
  readonly topic: string
  readonly payload: Uint8Array
  /** A broker kept it: it was sent some time before. */
  readonly retained?: boolean
}

/**
 * The way of a message from its topic to the outlet; the same for the embedded and an external broker. None of these throws.
 * `kept` is called once, when the message may be acknowledged (`null`) or must not be (an error). True when it was good.
 */
export interface Receiver {
  measurements(message: Incoming, kept: Kept): boolean
  state(message: Incoming, kept: Kept): boolean
  /** A message of a topic that was adopted: read, judged and kept as a reading of now. */
  adopted(topic: string, adopted: readonly AdoptedTopic[], payload: Uint8Array, kept: Kept): void
  setAside(message: Incoming, why: SetAside, kept: Kept): false
}

export interface ReceiverParts {
  readonly outlet: Outlet
  readonly registry: Pick<DeviceRegistry, 'seen' | 'channels'>
  readonly clock: Clock
  readonly logger: IntakeLogger
  readonly counts: Counts
  /** How much is remembered of the packs' numbers; see {@link Repeats}. */
  readonly repeats?: { readonly boots: number; readonly ranges: number }
  /** Sees each report before it is given on; `null` keeps it back. */
  readonly admitReport?: (report: DeviceReport) => DeviceReport | null
}

export function createReceiver(parts: ReceiverParts): Receiver {
  const { outlet, clock, logger, counts } = parts
  const repeats = new Repeats((device, boot) => parts.registry.seen(device, boot), parts.repeats)
  const sendTimes = createSendTimes()
  const judge = createJudge()
  const limit = new ChannelLimit(device => parts.registry.channels(device))

  function measurements(message: Incoming, kept: Kept): boolean {
    const receivedAtMs = clock()
    let pack: Pack
    try {
      pack = decodePack(message.payload)
    } catch (error) {
      return setAside(message, whyUnread(error), kept)
    }
    const { device } = message
    const { boot, seq } = pack
    const numbered = boot !== null && seq !== null
    let read: Read
    try {
      if (numbered) {
        const standing = repeats.enter(device, boot, seq)
        if (standing !== Standing.fresh) {
          counts.repeats++
          if (standing === Standing.underWay) repeats.wait(device, boot, seq, kept)
          else outlet.settled(kept)
          return true
        }
      }
      const sentAtMs = sendTimes.sentAt(device, boot, pack.uptimeS, receivedAtMs)
      read = limit.hold(device, readMeasurements(pack, sentAtMs, receivedAtMs, judge.of(device)))
    } catch (error) {
      // A mistake here must not have the device send the same pack for ever.
      if (numbered) repeats.settle(device, boot, seq, null)
      logger.error({ error, device }, 'a pack could not be read')
      return setAside(
        message,
        { reason: QuarantineReason.badRecord, detail: `it could not be read: ${textOf(error)}` },
        kept,
      )
    }
    for (const { detail } of pack.rejected) read.setAside.push({ reason: QuarantineReason.badRecord, detail })

    counts.packs++
    counts.readings += read.readings.length
    const settle: Kept = numbered
      ? error => {
          repeats.settle(device, boot, seq, error)
          kept(error)
        }
      : kept
    const placed = {
      device,
      boot: numbered ? boot : null,
      seq: numbered ? seq : null,
      receivedAtMs,
      readings: read.readings,
    }
    if (read.setAside.length === 0 && (numbered || read.readings.length > 0)) {
      give(placed, settle)
      return true
    }
    const reasons = byReason(read.setAside)
    const nothing = read.readings.length === 0 && !numbered
    const each = allOf(reasons.length + (nothing ? 0 : 1), settle)
    if (!nothing) give(placed, each)
    for (const why of reasons) setAside(message, why, each)
    return true
  }

  function adopted(topic: string, all: readonly AdoptedTopic[], payload: Uint8Array, kept: Kept): void {
    const receivedAtMs = clock()
    const each = allOf(all.length, kept)
    for (const one of all) {
      const { device } = one
      const setAsideOne = (why: SetAside) => setAside({ device, topic, payload }, why, each)
      const measured = readAdopted(one, payload)
      if ('reason' in measured) {
        setAsideOne(measured)
        continue
      }
      const pack = { boot: null, seq: null, uptimeS: null, measurements: [measured], rejected: [] }
      const placed = readMeasurements(pack, receivedAtMs, receivedAtMs, judge.of(device))
      const { readings, setAside: aside } = limit.hold(device, placed)
      const [why] = aside
      if (why) setAsideOne(why)
      else {
        counts.packs++
        counts.readings += readings.length
        give({ device, boot: null, seq: null, receivedAtMs, readings }, each)
      }
    }
  }

  function state(message: Incoming, kept: Kept): boolean {
    const receivedAtMs = clock()
    const read = readState(message.payload)
    if ('reason' in read) return setAside(message, read, kept)
    const { online, atMs, ...said } = read
    const report: DeviceReport = {
      device: message.device,
      online,
      receivedAtMs,
      ...withoutGaps(said),
      ...(atMs === undefined || message.retained ? {} : { clockErrorMs: atMs - receivedAtMs }),
    }
    const admitted = parts.admitReport ? parts.admitReport(report) : report
    if (admitted) outlet.report(admitted)
    kept(null)
    return true
  }

  function setAside(message: Incoming, why: SetAside, kept: Kept): false {
    counts.quarantined[why.reason]++
    const { device, topic, payload } = message
    const entry = {
      receivedAtMs: clock(),
      device,
      topic,
      ...why,
      // A copy: the network's buffer is used again, and a whole one would be held by its part.
      payload: Uint8Array.from(payload.subarray(0, QUARANTINE_PAYLOAD_BYTES)),
      bytes: payload.length,
    }
    try {
      outlet.quarantine(entry, kept)
    } catch (error) {
      failed(error, kept)
    }
    return false
  }

  function give(pack: PlacedPack, kept: Kept): void {
    try {
      outlet.pack(pack, kept)
    } catch (error) {
      failed(error, kept)
    }
  }

  /** The outlet must not throw; if it does, what was given counts as not kept. */
  function failed(error: unknown, kept: Kept): void {
    logger.error({ error }, 'the outlet failed')
    kept(error instanceof Error ? error : new Error(String(error)))
  }

  return { measurements, state, adopted, setAside }
}

function readState(payload: Uint8Array) {
  const bad = (detail: string): SetAside => ({ reason: QuarantineReason.badState, detail })
  if (payload.length > MAX_STATE_BYTES)
    return bad(`a state is ${MAX_STATE_BYTES} bytes at most, got ${payload.length}`)
  let json: unknown
  try {
    json = JSON.parse(Buffer.from(payload.buffer, payload.byteOffset, payload.length).toString('utf8'))
  } catch (error) {
    return bad(`a state is a JSON object: ${textOf(error)}`)
  }
  const parsed = deviceState.safeParse(json)
  if (parsed.success) return parsed.data
  const issue = parsed.error.issues[0]
  const field = issue?.path.join('.')
  return bad(field ? `"${field}" is missing, or is not what a state holds there` : 'a state is a JSON object')
}

/** Without what is not there: to the rest of the broker a member that is left out and one that is undefined differ. */
function withoutGaps<T extends object>(from: T): { [K in keyof T]?: Exclude<T[K], undefined> } {
  return Object.fromEntries(Object.entries(from).filter(([, value]) => value !== undefined)) as {
    [K in keyof T]?: Exclude<T[K], undefined>
  }
}

function whyUnread(error: unknown): SetAside {
  const large = error instanceof PackError && error.code === PackErrorCode.tooLarge
  return { reason: large ? QuarantineReason.tooLarge : QuarantineReason.notSenml, detail: textOf(error) }
}

/** One entry a reason: a pack of four thousand bad records is one line to read, not four thousand. */
function byReason(list: readonly SetAside[]): SetAside[] {
  const counted = new Map<QuarantineReason, { detail: string; count: number }>()
  for (const { reason, detail } of list) {
    const known = counted.get(reason)
    if (known) known.count++
    else counted.set(reason, { detail, count: 1 })
  }
  return [...counted].map(([reason, { detail, count }]) => ({
    reason,
    detail: count === 1 ? detail : `${detail} (and ${count - 1} more)`,
  }))
}

/** Calls `kept` once all of `count` parts are kept, with the first error if one was not. */
function allOf(count: number, kept: Kept): Kept {
  if (count === 1) return kept
  if (count === 0) {
    kept(null)
    return () => {}
  }
  let left = count
  let failed: Error | null = null
  return error => {
    failed ??= error
    if (--left === 0) kept(failed)
  }
}

function textOf(error: unknown): string {
  return (error instanceof Error ? error.message : String(error)).slice(0, 300)
}
