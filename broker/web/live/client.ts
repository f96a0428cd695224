import type { Identity } from '../context.ts'

/** The part of a WebSocket that the feed uses. */
export interface LiveSocket {
  readonly bufferedAmount: number
  send(text: string): void
  ping(): void
  close(code: number, reason: string): void
  terminate(): void
  on(event: 'pong' | 'close' | 'message', listener: () => void): unknown
  on(event: 'error', listener: (error: Error) => void): unknown
}

/** A client that has not taken this much yet gets no more changes, and a fresh snapshot once it has. */
export const BEHIND_BYTES = 1024 * 1024

/** WebSocket close codes, RFC 6455 section 7.4.1. */
export const CloseCode = { goingAway: 1001, policy: 1008 } as const

/** One screen that follows the feed. */
export class LiveClient {
  readonly identity: Identity
  readonly #socket: LiveSocket
  #behind = false
  #answered = true

  constructor(socket: LiveSocket, identity: Identity) {
    this.#socket = socket
    this.identity = identity
    socket.on('pong', () => {
      this.#answered = true
    })
    // The feed only talks. Whoever sends something has mistaken it for something else.
    socket.on('message', () => socket.close(CloseCode.policy, 'this feed takes no messages'))
  }

  get behind(): boolean {
    return this.#behind
  }

  /** Sends changes, unless the client is behind: then it misses them, and needs a snapshot. */
  sendChanges(text: string): void {
    if (this.#socket.bufferedAmount > BEHIND_BYTES) this.#behind = true
    if (!this.#behind) this.#socket.send(text)
  }

  /** Sends a snapshot, made only if needed, to a client that was behind and has taken all it was sent. */
  catchUp(snapshot: () => string): void {
    if (!this.#behind || this.#socket.bufferedAmount > 0) return
    this.#behind = false
    this.#socket.send(snapshot())
  }

  /** What a client gets when it joins: it owes nothing yet, so there is nothing to check. */
  sendFirst(text: string): void {
    this.#socket.send(text)
  }

  /** Asks for a sign of life, and gives up a client that gave none since it was last asked. */
  beat(): void {
    if (!this.#answered) return this.#socket.terminate()
    this.#answered = false
    this.#socket.ping()
  }

  close(code: number, reason: string): void {
    this.#socket.close(code, reason)
  }
}
