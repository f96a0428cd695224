import { Priority } from '../rules/alarm.ts'
import { LONGEST_MS } from './backoff.ts'
import type { Delivery } from './delivery.ts'

/** How many attempts of one channel may be under way at once: a channel that hangs holds so many, and never another's. */
const MOST_OF_A_KIND = 50

/** What is sent first, and dropped last. */
const WORTH: Readonly<Record<Priority, number>> = {
  [Priority.critical]: 2,
  [Priority.high]: 1,
  [Priority.low]: 0,
}

/** The deliveries that wait, a lane for each address: within a lane one at a time, so that messages come in their order. */
export class Lanes {
  /** Nothing more is due. */
  closed = false
  readonly #byId = new Map<string, Delivery>()
  readonly #lanes = new Map<string, Set<string>>()
  readonly #underWay = new Map<string, Delivery>()
  readonly #busy = new Set<string>()
  readonly #ofKind = new Map<string, number>()

  get size(): number {
    return this.#byId.size
  }

  has(id: string): boolean {
    return this.#byId.has(id) || this.#underWay.has(id)
  }

  isUnderWay(id: string): boolean {
    return this.#underWay.has(id)
  }

  put(delivery: Delivery): void {
    this.#byId.set(delivery.message.id, delivery)
    const lane = laneOf(delivery)
    const ids = this.#lanes.get(lane) ?? new Set()
    this.#lanes.set(lane, ids.add(delivery.message.id))
  }

  /** Those that wait, under way or not. */
  ofAlarm(alarmId: string): Delivery[] {
    return [...this.#byId.values()].filter(({ message }) => message.alarmId === alarmId)
  }

  /** The first of each lane that is due: the weightiest, then the oldest. */
  *due(nowMs: number): Generator<Delivery> {
    if (this.closed) return
    for (const [lane, ids] of this.#lanes) {
      if (this.#busy.has(lane)) continue
      let first: Delivery | undefined
      for (const id of ids) {
        const delivery = this.#byId.get(id)!
        if (isDue(delivery, nowMs) && (first === undefined || before(delivery, first))) first = delivery
      }
      if (first !== undefined && (this.#ofKind.get(first.kind) ?? 0) < MOST_OF_A_KIND) yield first
    }
  }

  begin(delivery: Delivery): void {
    this.#underWay.set(delivery.message.id, delivery)
    const lane = laneOf(delivery)
    this.#busy.add(lane)
    // To the end, so that addresses that hang do not keep the others of their channel from their turn.
    const ids = this.#lanes.get(lane)
    if (ids !== undefined && this.#lanes.delete(lane)) this.#lanes.set(lane, ids)
    this.#ofKind.set(delivery.kind, (this.#ofKind.get(delivery.kind) ?? 0) + 1)
  }

  /** The attempt has ended. Answers the delivery as it is now: it may have been withdrawn meanwhile. */
  finish(id: string): Delivery | undefined {
    const begun = this.#underWay.get(id)
    if (begun === undefined) return undefined
    this.#underWay.delete(id)
    this.#busy.delete(laneOf(begun))
    this.#ofKind.set(begun.kind, this.#ofKind.get(begun.kind)! - 1)
    return this.#byId.get(id) ?? begun
  }

  /** It waits no more. */
  end(delivery: Delivery): void {
    const { id } = delivery.message
    this.#byId.delete(id)
    const ids = this.#lanes.get(laneOf(delivery))
    ids?.delete(id)
    if (ids?.size === 0) this.#lanes.delete(laneOf(delivery))
    if (this.#underWay.has(id)) this.#underWay.set(id, delivery)
  }

  /** The oldest of the least priority that is not under way. */
  leastWorth(): Delivery | undefined {
    let least: Delivery | undefined
    for (const delivery of this.#byId.values()) {
      if (this.#underWay.has(delivery.message.id)) continue
      if (least === undefined || lessWorth(delivery, least)) least = delivery
    }
    return least
  }
}

/** One that is to wait longer than any is was put off by a clock that was set back since. */
const isDue = ({ nextAtMs }: Delivery, nowMs: number): boolean =>
  nextAtMs <= nowMs || nextAtMs > nowMs + LONGEST_MS

const laneOf = ({ personId, addressId }: Delivery): string => `${personId} ${addressId}`

const worth = ({ message }: Delivery): number => WORTH[message.priority]

const before = (a: Delivery, b: Delivery): boolean =>
  worth(a) !== worth(b) ? worth(a) > worth(b) : a.message.sentAtMs < b.message.sentAtMs

const lessWorth = (a: Delivery, b: Delivery): boolean =>
  worth(a) !== worth(b) ? worth(a) < worth(b) : a.message.sentAtMs < b.message.sentAtMs
