import type { Logger } from 'pino'
import type { Clock } from '../clock.ts'
import { DeliveryState, type DeliveryRow } from '../store/contract.ts'
import { attempt, ATTEMPT_MS, type Outcome } from './attempt.ts'
import { GIVE_UP_AFTER_MS, waitMs } from './backoff.ts'
import type { ChannelHealth } from './channel-health.ts'
import { FailureKind, type Channel, type ChannelKind } from './contract.ts'
import { fromRow, toRow, type Delivery } from './delivery.ts'
import { Lanes } from './lanes.ts'

/** How many deliveries may wait. Beyond it the oldest of the least priority is dropped, and told as such. */
export const MOST_WAITING = 5000
/** How long a stop waits for the answers under way, in real time. */
const STOP_GRACE_MS = 3000

/** The part of the store that an outbox needs. */
export interface OutboxStore {
  keepDelivery(delivery: DeliveryRow): Promise<void>
  waitingDeliveries(): Promise<DeliveryRow[]>
}

export interface OutboxParts {
  readonly store: OutboxStore
  readonly clock: Clock
  /** From 0 to 1. */
  readonly random: () => number
  readonly logger: Pick<Logger, 'info' | 'warn' | 'error'>
  readonly health: ChannelHealth
  readonly channels: ReadonlyMap<string, Channel>
  /** What an address is now; `undefined` when its person has it no more. */
  readonly address: (personId: string, addressId: string) => string | undefined
  /** The other side says that the address is gone. */
  readonly onGone: (personId: string, addressId: string) => void
  /** A delivery was given up, or had to make room: it will not reach anybody. */
  readonly onGivenUp: (delivery: Delivery) => void
  readonly mostWaiting?: number
  readonly attemptMs?: number
}

/**
 * What people are to be told, until they are. Each delivery is on disk from the turn in which it was decided; it is sent at once
 * without waiting for that, since an alarm does not wait for the disk. Sent at least once, under one key: a second time only
 * when the answer to the first was lost, by a time-out or a kill.
 */
export class Outbox {
  readonly #parts: OutboxParts
  readonly #lanes = new Lanes()
  readonly #stop = new AbortController()
  readonly #underWay = new Set<Promise<void>>()
  #dropped = 0

  constructor(parts: OutboxParts) {
    this.#parts = parts
  }

  /** Takes up what an earlier run left. */
  async load(): Promise<void> {
    for (const row of await this.#parts.store.waitingDeliveries()) this.#lanes.put(fromRow(row))
    this.#bound()
  }

  get waiting(): number {
    return this.#lanes.size
  }

  /** How many had to make room since the start. */
  get dropped(): number {
    return this.#dropped
  }

  /** Takes deliveries over: on their way to disk, and being sent, when this returns. */
  add(deliveries: readonly Delivery[]): void {
    for (const delivery of deliveries) {
      if (this.#lanes.has(delivery.message.id)) continue
      this.#replaceOlder(delivery)
      this.#lanes.put(delivery)
      this.#keep(delivery)
    }
    this.#bound()
    // With the next turn: to start many at once would hold up the screens that hear of the alarm in this one.
    if (deliveries.length > 0) setImmediate(() => this.pump())
  }

  /**
   * Nobody needs to hear of this alarm any more. Answers who was never sent anything of it, as `person address`: they need not
   * hear that it is over either.
   */
  withdraw(alarmId: string, why: string): ReadonlySet<string> {
    const never = new Set<string>()
    for (const delivery of this.#lanes.ofAlarm(alarmId)) {
      const { attempts, personId, addressId, message } = delivery
      if (attempts === 0 && !this.#lanes.isUnderWay(message.id)) never.add(`${personId} ${addressId}`)
      this.#end(delivery, DeliveryState.withdrawn, why)
    }
    return never
  }

  /** Starts whatever is due. Called by a timer, and whenever something changed. */
  pump(): void {
    if (this.#stop.signal.aborted) return
    const nowMs = this.#parts.clock()
    for (const delivery of this.#lanes.due(nowMs)) this.#send(delivery)
  }

  /** Lets what is under way end, for a moment, and starts nothing more. */
  async close(graceMs = STOP_GRACE_MS): Promise<void> {
    this.#lanes.closed = true
    let timer: ReturnType<typeof setTimeout> | undefined
    const grace = new Promise<void>(resolve => (timer = setTimeout(resolve, graceMs)))
    await Promise.race([Promise.all(this.#underWay), grace])
    clearTimeout(timer)
    this.#stop.abort()
    await Promise.all(this.#underWay)
  }

  #send(delivery: Delivery): void {
    const { message, personId, addressId, kind } = delivery
    const address = this.#parts.address(personId, addressId)
    if (address === undefined)
      return this.#end(delivery, DeliveryState.withdrawn, 'The address was taken out of the settings')
    const channel = this.#parts.channels.get(kind)
    if (channel === undefined)
      return this.#end(delivery, DeliveryState.failed, `This service cannot send by ${kind}`)
    this.#lanes.begin(delivery)
    const sending = attempt(
      signal => channel.send(message, address, signal),
      this.#stop.signal,
      this.#parts.attemptMs ?? ATTEMPT_MS,
    )
    const done = sending
      .then(outcome => this.#take(message.id, outcome))
      .catch((error: unknown) => this.#parts.logger.error({ err: error }, 'an outcome could not be noted'))
      .finally(() => {
        this.#underWay.delete(done)
        this.pump()
      })
    this.#underWay.add(done)
  }

  #take(id: string, outcome: Outcome): void {
    const delivery = this.#lanes.finish(id)
    if (outcome.kind === 'stopped' || delivery === undefined) return
    const nowMs = this.#parts.clock()
    const tried = { ...delivery, attempts: delivery.attempts + 1 }
    const { personId, addressId, message } = tried
    const kind = tried.kind as ChannelKind
    const { health, logger } = this.#parts
    if (outcome.kind === 'delivered') {
      health.delivered(addressId, kind)
      return this.#end(tried, DeliveryState.delivered, null)
    }
    const { error } = outcome
    health.failed(addressId, kind, error, nowMs)
    logger.warn(
      { delivery: id, channel: kind, person: personId, attempts: tried.attempts, code: codeOf(error.cause) },
      `a message did not get through: ${error.message}`,
    )
    // It was withdrawn while under way: what came of it is noted, and that is all.
    if (delivery.state !== DeliveryState.waiting) return
    if (error.failure === FailureKind.gone) this.#parts.onGone(personId, addressId)
    if (error.failure !== FailureKind.temporary) return this.#end(tried, DeliveryState.failed, error.message)
    if (nowMs - message.sentAtMs >= GIVE_UP_AFTER_MS)
      return this.#end(tried, DeliveryState.failed, `Given up after a day: ${error.message}`)
    const wait = waitMs(tried.attempts, this.#parts.random(), error.retryAfterMs)
    const next = { ...tried, nextAtMs: nowMs + wait, error: error.message }
    this.#lanes.put(next)
    this.#keep(next)
  }

  /** A newer message about the same alarm to the same address makes an older one pointless. */
  #replaceOlder({ message, addressId }: Delivery): void {
    if (message.alarmId === null) return
    for (const older of this.#lanes.ofAlarm(message.alarmId))
      if (older.addressId === addressId)
        this.#end(older, DeliveryState.withdrawn, 'A newer message took its place')
  }

  #bound(): void {
    const most = this.#parts.mostWaiting ?? MOST_WAITING
    while (this.#lanes.size > most) {
      const least = this.#lanes.leastWorth()
      if (least === undefined) return
      this.#dropped += 1
      this.#parts.logger.error(
        { delivery: least.message.id, priority: least.message.priority },
        `a message was dropped: more than ${most} wait to be delivered`,
      )
      this.#end(
        least,
        DeliveryState.dropped,
        `More than ${most} messages waited, and this was of the least worth`,
      )
    }
  }

  #end(delivery: Delivery, state: DeliveryState, error: string | null): void {
    const done = { ...delivery, state, error, doneAtMs: this.#parts.clock() }
    this.#lanes.end(done)
    this.#keep(done)
    if (state === DeliveryState.failed || state === DeliveryState.dropped) this.#parts.onGivenUp(done)
  }

  /** What cannot be kept is sent all the same. */
  #keep(delivery: Delivery): void {
    this.#parts.store
      .keepDelivery(toRow(delivery))
      .catch((error: unknown) => this.#parts.logger.error({ err: error }, 'keeping a delivery failed'))
  }
}

/** The kind of an error from elsewhere. What else it holds may be an address or a password: that stays out of the log. */
function codeOf(cause: unknown): string | undefined {
  if (!(cause instanceof Error)) return undefined
  return 'code' in cause && typeof cause.code === 'string' ? cause.code : cause.name
}
