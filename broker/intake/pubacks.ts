import type { Client } from 'aedes'
import type { Release } from './ack-line.ts'

/** First byte and length of a PUBACK, before the two bytes of the packet's identifier: MQTT 3.1.1 section 3.4. */
const HEAD = 0x4002
const BYTES = 4

/**
 * Writes one client's PUBACKs, those of the messages that one commit has kept in one piece: a write for each costs as much as
 * reading the message. A client that reads nothing holds back what it sends, as with aedes' own writing.
 */
export class Pubacks {
  readonly #client: Client
  #identifiers: number[] = []
  #released: Release[] = []

  constructor(client: Client) {
    this.#client = client
  }

  /** To be written with the others that come in the same turn; `released` is called after that. */
  add(identifier: number, released: Release): void {
    if (this.#identifiers.length === 0) queueMicrotask(() => this.flush())
    this.#identifiers.push(identifier)
    this.#released.push(released)
  }

  /** Writes at once what waits: whatever is written to the client next comes after it. */
  flush(): void {
    const identifiers = this.#identifiers
    if (identifiers.length === 0) return
    const released = this.#released
    this.#identifiers = []
    this.#released = []
    const release = (error?: Error | null) => {
      for (const each of released) each(error ?? null)
    }
    const { conn, connected, connecting } = this.#client
    // Its first messages may be kept before the broker library has done with connecting it: they are acknowledged all the same.
    if (!connected && !connecting) return release(new Error('the connection was closed'))
    if (conn.write(written(identifiers))) release()
    else (this.#client as Client & Draining).waitForDrain(release)
  }
}

interface Draining {
  /** Calls back once the socket takes more, or with an error after aedes' `drainTimeout`. */
  waitForDrain(done: Release): void
}

function written(identifiers: readonly number[]): Buffer {
  const bytes = Buffer.allocUnsafe(identifiers.length * BYTES)
  let at = 0
  for (const identifier of identifiers) {
    at = bytes.writeUInt16BE(HEAD, at)
    at = bytes.writeUInt16BE(identifier, at)
  }
  return bytes
}
