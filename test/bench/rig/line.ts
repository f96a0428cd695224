import { connect, type Socket } from 'node:net'
import { connectPacket, makeSlot, type PackKind, type Slot } from './packs.ts'

export interface LineSettings {
  readonly device: string
  readonly password: string
  readonly boot: string
  readonly kind: PackKind
  /** Messages that may be under way at once. */
  readonly inFlight: number
  /** Called for each acknowledgement, with the milliseconds that it took. */
  readonly acked: (line: Line, tookMs: number) => void
  readonly broken: (error: Error) => void
}

/** CONNACK and PUBACK, all that a broker says to who subscribes to nothing, are of four bytes each. */
const ANSWER_BYTES = 4
const CONNACK = 0x20
const PUBACK = 0x40

/** One device's connection, as lean as it can be, so that what is measured is the broker. */
export class Line {
  readonly #settings: LineSettings
  readonly #slots: Slot[]
  readonly #sentAtMs: Float64Array
  readonly #free: number[]
  #socket: Socket | null = null
  #rest: Buffer | null = null
  #seq = 0
  #opened: (() => void) | null = null

  constructor(settings: LineSettings) {
    this.#settings = settings
    const { device, boot, kind, inFlight } = settings
    this.#slots = Array.from({ length: inFlight }, (_, i) => makeSlot(device, boot, kind, i + 1))
    this.#sentAtMs = new Float64Array(inFlight)
    this.#free = this.#slots.map((_, i) => i)
  }

  open(host: string, port: number): Promise<void> {
    const { device, password, broken } = this.#settings
    return new Promise((resolve, reject) => {
      const socket = connect({ host, port, noDelay: true })
      this.#socket = socket
      this.#opened = resolve
      socket.on('connect', () => socket.write(connectPacket(device, device, password)))
      socket.on('data', chunk => this.#take(chunk))
      const end = (error: Error) => {
        reject(error)
        broken(error)
      }
      socket.on('error', end)
      socket.on('close', () => this.#socket && end(new Error(`the broker closed the line of ${device}`)))
    })
  }

  /** Sends the next pack; false when as many are under way as may be. */
  send(): boolean {
    const index = this.#free.pop()
    if (index === undefined || this.#socket === null) return false
    const slot = this.#slots[index]!
    slot.renew(this.#seq++)
    this.#sentAtMs[index] = performance.now()
    this.#socket.write(slot.bytes)
    return true
  }

  get idle(): boolean {
    return this.#free.length === this.#slots.length
  }

  close(): void {
    const socket = this.#socket
    this.#socket = null
    socket?.destroy()
  }

  #take(chunk: Buffer): void {
    const bytes = this.#rest === null ? chunk : Buffer.concat([this.#rest, chunk])
    const now = performance.now()
    this.#socket?.cork()
    let at = 0
    for (; at + ANSWER_BYTES <= bytes.length; at += ANSWER_BYTES) this.#answer(bytes, at, now)
    this.#socket?.uncork()
    this.#rest = at === bytes.length ? null : bytes.subarray(at)
  }

  #answer(bytes: Buffer, at: number, now: number): void {
    const kind = bytes[at]
    if (kind === PUBACK && bytes[at + 1] === 2) {
      const index = bytes.readUInt16BE(at + 2) - 1
      this.#free.push(index)
      this.#settings.acked(this, now - this.#sentAtMs[index]!)
    } else if (kind === CONNACK && bytes[at + 3] === 0) this.#opened?.()
    else this.#settings.broken(new Error(`the broker answered ${bytes.toString('hex', at, at + 4)}`))
  }
}
