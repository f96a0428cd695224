/** One value of one channel, as the device keeps it until it is acknowledged. */
export interface KeptReading {
  readonly name: string
  readonly unit: string
  readonly value: number
}

/** All that was read at one moment, on the device's own clock. */
export interface Sampling {
  readonly atMs: number
  readonly readings: readonly KeptReading[]
}

/** What is being sent: it keeps its number and its content until it is acknowledged, so that a repeat is a repeat. */
export interface PackInFlight {
  readonly seq: number
  readonly samplings: readonly Sampling[]
}

export interface OutboxLimits {
  /** Readings kept at most. At the limit the oldest that is not being sent is dropped, and counted. */
  readonly readings: number
  /** Readings in one pack at most; a sampling is never torn apart. */
  readonly packReadings: number
}

/** What a device has measured and nobody has acknowledged. Bounded; oldest first; one pack in flight. */
export class Outbox {
  #limits: OutboxLimits
  #waiting: Sampling[] = []
  #first = 0
  #waitingReadings = 0
  #inFlight: PackInFlight | null = null
  #inFlightReadings = 0
  #nextSeq = 0
  #dropped = 0

  constructor(limits: OutboxLimits) {
    if (!(limits.readings >= 1) || !(limits.packReadings >= 1)) {
      throw new RangeError(
        `Cannot make an outbox: both limits must be at least 1, got ${limits.readings} and ${limits.packReadings}`,
      )
    }
    this.#limits = limits
  }

  /** Readings that wait, those in flight included. */
  get size(): number {
    return this.#waitingReadings + this.#inFlightReadings
  }

  /** Readings that were dropped because the outbox was full. */
  get dropped(): number {
    return this.#dropped
  }

  /** Whether a pack is on its way. */
  get isSending(): boolean {
    return this.#inFlight !== null
  }

  /** Packs count from 0 again: those of another power-up. Refused while one is on its way, which must be sent as it was. */
  renumber(): void {
    if (this.#inFlight) throw new Error('Cannot count packs anew: one is on its way')
    this.#nextSeq = 0
  }

  add(sampling: Sampling): void {
    if (sampling.readings.length === 0) return
    this.#waiting.push(sampling)
    this.#waitingReadings += sampling.readings.length
    while (this.size > this.#limits.readings && this.#first < this.#waiting.length) {
      this.#dropped += this.#shift().readings.length
    }
    this.#tidy()
  }

  /** The pack to send now: the one in flight, or a new one of the oldest; null when nothing waits. */
  next(): PackInFlight | null {
    if (this.#inFlight || this.#first === this.#waiting.length) return this.#inFlight
    const samplings: Sampling[] = []
    let count = 0
    do {
      const sampling = this.#shift()
      samplings.push(sampling)
      count += sampling.readings.length
    } while (
      this.#first < this.#waiting.length &&
      count + this.#waiting[this.#first]!.readings.length <= this.#limits.packReadings
    )
    this.#tidy()
    this.#inFlightReadings = count
    this.#inFlight = { seq: this.#nextSeq++, samplings }
    return this.#inFlight
  }

  /** The broker has acknowledged this pack: only now it is let go. */
  acknowledged(seq: number): void {
    if (this.#inFlight?.seq !== seq) return
    this.#inFlight = null
    this.#inFlightReadings = 0
  }

  #shift(): Sampling {
    const sampling = this.#waiting[this.#first++]!
    this.#waitingReadings -= sampling.readings.length
    return sampling
  }

  /** Frees what was shifted once it is half of the list, so that shifting stays cheap. */
  #tidy(): void {
    if (this.#first * 2 < this.#waiting.length) return
    this.#waiting = this.#waiting.slice(this.#first)
    this.#first = 0
  }
}
