import type { Client } from 'aedes'
import type { Release } from './ack-line.ts'
import { Found, UsualPublish } from './usual-publish.ts'

/** Where a connection's usual messages go: what one device measures, at QoS 1. */
export interface StraightDesk {
  /** The topic of the usual messages. */
  readonly topic: Uint8Array
  /** False while they must go the long way. */
  open(): boolean
  /** `released` is called once, when the acknowledgement has been written, or with the error that ends the connection. */
  take(identifier: number, payload: Uint8Array, released: Release): void
}

/** Messages of one connection that wait for their commit; beyond, no more is read from it until half of them are kept. */
const MOST_UNDER_WAY = 128
/** A message that is not whole yet waits here if it is no longer than this, bytes: packs mostly are. */
const BEGUN_BYTES = 4096

/**
 * Takes the usual messages of one connection straight from its bytes. The broker library gives each of them a packet, a turn
 * through its handlers and a look at who subscribed, which costs more than reading, judging and keeping the pack. Whatever else
 * comes, and all that comes behind it in the same chunk, goes the long way, so that the order of what a client says is kept.
 */
export class StraightLane {
  readonly #client: () => Client | undefined
  readonly #deskOf: (client: Client) => StraightDesk | null
  readonly #resume: () => void
  readonly #longest: number
  #desk: StraightDesk | null = null
  #usual: UsualPublish | null = null
  #begun: Uint8Array | null = null
  #underWay = 0
  #stopped = false

  /**
   * @param deskOf answers `null` until the client has signed in as a device.
   * @param resume has the connection read again.
   * @param longest bytes of a packet after its fixed header.
   */
  constructor(parts: {
    client: () => Client | undefined
    deskOf: (client: Client) => StraightDesk | null
    resume: () => void
    longest: number
  }) {
    this.#client = parts.client
    this.#deskOf = parts.deskOf
    this.#resume = parts.resume
    this.#longest = parts.longest
  }

  /** True when nothing may be read now; `resume` is called once it may be. */
  get full(): boolean {
    if (this.#underWay < MOST_UNDER_WAY) return false
    this.#stopped = true
    return true
  }

  /** Takes what it can from a chunk that begins between two packets; answers with the rest, which goes the long way. */
  take(chunk: Uint8Array): Uint8Array | null {
    const whole = this.#begun === null ? chunk : Buffer.concat([this.#begun, chunk])
    this.#begun = null
    const client = this.#client()
    if (client === undefined || !client.connected || client.closed) return whole
    if (this.#desk === null && !this.#begin(client)) return whole
    const desk = this.#desk!
    const usual = this.#usual!
    let at = 0
    let found: Found = Found.whole
    while (at < whole.length && desk.open()) {
      found = usual.read(whole, at)
      if (found !== Found.whole) break
      this.#underWay++
      desk.take(usual.identifier, whole.subarray(usual.payloadFrom, usual.end), this.#released)
      at = usual.end
    }
    if (at > 0) (client as Client & KeptAlive)._keepaliveTimer?.refresh()
    if (at === whole.length) return null
    const rest = at === 0 ? whole : whole.subarray(at)
    if (found !== Found.begun || rest.length > BEGUN_BYTES) return rest
    this.#begun = rest
    return null
  }

  #begin(client: Client): boolean {
    const desk = this.#deskOf(client)
    if (desk === null) return false
    this.#desk = desk
    this.#usual = new UsualPublish(desk.topic, this.#longest)
    return true
  }

  readonly #released: Release = error => {
    this.#underWay--
    const client = this.#client()
    if (client === undefined || client.closed) return
    // As the library does with an error of its own: it ends the connection.
    if (error !== null) client.emit('error', error)
    else if (this.#stopped && this.#underWay < MOST_UNDER_WAY / 2) {
      this.#stopped = false
      this.#resume()
    }
  }
}

interface KeptAlive {
  /** Ends a connection of which nothing came for one and a half keep-alive times; the library winds it up with each packet. */
  readonly _keepaliveTimer: NodeJS.Timeout | null
}
