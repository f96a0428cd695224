import type { Logger } from 'pino'
import { topicOf, type TopicKind } from '../../firmware-protocol/topics.ts'

export interface RetainedPostOptions<Told> {
  readonly kind: TopicKind
  /** What a device is to be told now; `null` takes what is retained away. Asked once for all that are due together. */
  readonly wanted: () => (device: string) => Told | null
  /** Whether a device would act alike on both. */
  readonly same: (one: Told, other: Told) => boolean
  /** Publishes with retain. Rejects while the broker is out of reach. */
  readonly publish: (topic: string, payload: string) => Promise<void>
  readonly logger: Pick<Logger, 'warn'>
  /** Logged once for each time that the broker is out of reach. */
  readonly inVain: string
  /** A device hears of changes no more often than this; the newest wins. */
  readonly everyMs?: number
  /** After a failure it is tried again so much later. */
  readonly retryMs?: number
}

/** Real time: a relay and an ear know no other. */
const EVERY_MS = 1000
const RETRY_MS = 5000

/** What is on its way to one device, or was told last. */
interface Slot<Told> {
  told: Told | null
  /** Something changed that this device has not been told. */
  due: boolean
  /** Tell even what was told before. */
  anew: boolean
  /** The device was revoked: its retained message is to go. */
  gone: boolean
  /** It was told a moment ago, or a failure is waited out. */
  resting: NodeJS.Timeout | null
  sending: boolean
}

/**
 * Keeps one retained topic of each device abreast of what is wanted. All that changes within one turn is told at once, no device
 * hears more than one a second, and while the broker is out of reach it is tried again with what is wanted by then.
 */
export class RetainedPost<Told> {
  readonly #options: RetainedPostOptions<Told>
  readonly #slots = new Map<string, Slot<Told>>()
  #waiting = false
  /** Said once for each time that the broker is out of reach. */
  #failing = false
  #closed = false

  constructor(options: RetainedPostOptions<Told>) {
    this.#options = options
  }

  mark(device: string, how: { anew?: boolean; gone?: boolean } = {}): void {
    if (this.#closed) return
    const slot: Slot<Told> = this.#slots.get(device) ?? newSlot()
    this.#slots.set(device, slot)
    slot.due = true
    slot.anew ||= how.anew ?? false
    slot.gone = how.gone ?? false
    if (this.#waiting) return
    this.#waiting = true
    // Whatever else happens in this turn belongs into the same message.
    queueMicrotask(() => this.#tellDue())
  }

  /** Stops telling. What was told stays retained. */
  close(): void {
    this.#closed = true
    for (const slot of this.#slots.values()) if (slot.resting !== null) clearTimeout(slot.resting)
    this.#slots.clear()
  }

  #tellDue(): void {
    this.#waiting = false
    const free = [...this.#slots].filter(([, slot]) => slot.due && !slot.sending && slot.resting === null)
    if (this.#closed || free.length === 0) return
    const wanted = this.#options.wanted()
    for (const [device, slot] of free) this.#tell(device, slot, slot.gone ? null : wanted(device))
  }

  #tell(device: string, slot: Slot<Told>, wanted: Told | null): void {
    const { kind, same, publish, logger, inVain, everyMs = EVERY_MS, retryMs = RETRY_MS } = this.#options
    const known = wanted !== null && slot.told !== null && same(wanted, slot.told)
    slot.due = false
    if (known && !slot.anew) return
    slot.anew = false
    slot.sending = true
    publish(topicOf(device, kind), wanted === null ? '' : JSON.stringify(wanted)).then(
      () => {
        slot.told = wanted
        this.#failing = false
        this.#rest(device, slot, everyMs)
      },
      (error: unknown) => {
        // Whatever the device was told before may have been lost with the broker.
        slot.told = null
        slot.due = true
        if (!this.#closed && !this.#failing) logger.warn({ error: messageOf(error) }, inVain)
        this.#failing = true
        this.#rest(device, slot, retryMs)
      },
    )
  }

  #rest(device: string, slot: Slot<Told>, forMs: number): void {
    slot.sending = false
    if (this.#closed) return
    slot.resting = setTimeout(() => {
      slot.resting = null
      if (slot.due) this.#tellDue()
      else if (slot.gone) this.#slots.delete(device)
    }, forMs)
    slot.resting.unref()
  }
}

function newSlot<Told>(): Slot<Told> {
  return { told: null, due: false, anew: false, gone: false, resting: null, sending: false }
}

const messageOf = (error: unknown): string => (error instanceof Error ? error.message : String(error))
