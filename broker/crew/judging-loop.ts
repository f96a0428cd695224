import { setImmediate as turn } from 'node:timers/promises'
import type { Logger } from 'pino'
import type { Clock } from '../clock.ts'
import { createJudge as createQualityJudge } from '../intake/quality.ts'
import { type PlacedPack, Quantity } from '../intake/reading.ts'
import type { RunningRoom } from '../room/room.ts'
import type { Judgeable, Lead } from '../store/postgres/lead.ts'
import type { Position } from '../store/postgres/position.ts'
import type { PostgresStore } from '../store/postgres/postgres-store.ts'

/** How often it is looked for packs that the workers have kept, ms: a person is to be told within a second of the reading. */
const LOOK_EVERY_MS = 100
/** Judged in one turn at most, so that people and alarms have theirs: a few ms. */
const PACKS_AT_ONCE = 1000
/** Looks between two questions whether something is held back. */
const ASK_EVERY = 20
/** Packs that wait longer than this are held back, ms. */
const HELD_BACK_MS = 5000
/** So many packs are judged before those are looked for that can be moved into chunks. */
const PACKS_BETWEEN_LOOKS = 4096

/** Judges what all workers keep, in one order, and remembers how far it came together with what it decided. */
export class JudgingLoop {
  readonly #lead: Lead
  readonly #store: PostgresStore
  readonly #room: Pick<RunningRoom, 'judge' | 'keepMemories'>
  readonly #clock: Clock
  readonly #logger: Logger
  readonly #quality = createQualityJudge()
  #position: Position
  /** As it was last given to be kept. */
  #given: Position
  #packs = 0
  #heldSinceMs: number | null = null
  #isKeeping = false
  #isDue = false
  #timer: NodeJS.Timeout | null = null
  #wake: () => void = () => undefined
  #closed = false
  readonly #running: Promise<void>
  /** Resolves once all that had been kept when it began is judged, or nothing will be any more. */
  readonly caughtUp: Promise<void>
  #isCaughtUp: () => void = () => undefined

  constructor(parts: {
    lead: Lead
    store: PostgresStore
    room: Pick<RunningRoom, 'judge' | 'keepMemories'>
    clock: Clock
    logger: Logger
  }) {
    this.#lead = parts.lead
    this.#store = parts.store
    this.#room = parts.room
    this.#clock = parts.clock
    this.#logger = parts.logger
    this.#position = this.#given = parts.lead.position
    this.caughtUp = new Promise(resolve => (this.#isCaughtUp = resolve))
    // Whatever the rules come to hold is kept with how far they came: then whoever goes on from there decides nothing twice.
    this.#store.onRuleMemory = () => this.#keepSoon()
    this.#running = this.#run().finally(() => this.#isCaughtUp())
  }

  /** To be called at each look at the room, in the same turn. */
  keep(): void {
    this.#isDue = false
    this.#isKeeping = true
    const isWhole = this.#room.keepMemories()
    this.#isKeeping = false
    // Something decided earlier is not on disk yet: nobody may begin behind it.
    if (!isWhole || this.#position === this.#given) return
    const position = (this.#given = this.#position)
    this.#store.keepJudged(position).then(
      () => this.#lookForLoose(),
      () => (this.#given = this.#lead.position),
    )
  }

  /** What holds judging back, one sentence; `null` when nothing does. */
  get ailment(): string | null {
    if (this.#heldSinceMs === null) return null
    const seconds = Math.round((this.#clock() - this.#heldSinceMs) / 1000)
    return `Readings have waited for ${seconds} s to be judged: a transaction in the database server has stayed open.`
  }

  async close(): Promise<void> {
    this.#closed = true
    this.#store.onRuleMemory = null
    if (this.#timer !== null) clearTimeout(this.#timer)
    this.#wake()
    await this.#running
  }

  async #run(): Promise<void> {
    for (let looks = 1; !this.#closed && !this.#lead.isLost; looks++) {
      try {
        const next = await this.#lead.next(this.#position, PACKS_AT_ONCE)
        if (this.#closed) return
        for (const { pack, position } of inTheirOrder(next)) {
          this.#room.judge(this.#judged(pack))
          this.#position = position
        }
        if (next.length === PACKS_AT_ONCE) {
          await turn()
          continue
        }
        this.#isCaughtUp()
        if (looks % ASK_EVERY === 0) await this.#askWhatWaits(next.length)
      } catch (error) {
        if (this.#closed || this.#lead.isLost) return
        this.#logger.error({ error }, 'what waits to be judged could not be read; tried again')
      }
      await this.#pause()
    }
  }

  #pause(): Promise<void> {
    return new Promise(resolve => {
      this.#wake = resolve
      this.#timer = setTimeout(resolve, LOOK_EVERY_MS)
    })
  }

  async #askWhatWaits(found: number): Promise<void> {
    const firstMs = found > 0 ? null : await this.#lead.waiting(this.#position)
    this.#heldSinceMs = firstMs !== null && this.#clock() - firstMs > HELD_BACK_MS ? firstMs : null
  }

  #keepSoon(): void {
    if (this.#isKeeping || this.#isDue) return
    this.#isDue = true
    // After all of this turn's packs, and still in the same commit.
    queueMicrotask(() => {
      if (this.#isDue && !this.#closed) this.keep()
    })
  }

  #lookForLoose(): void {
    if (this.#packs < PACKS_BETWEEN_LOOKS) return
    this.#packs = 0
    this.#store.lookForLoose()
  }

  /**
   * A worker saw only its share of what a device sent. Whether a probe hangs in the air or has stood still is told by all readings in
   * their order, so it is judged here again, as the rules are to see it.
   */
  #judged(pack: PlacedPack): PlacedPack {
    this.#packs++
    const judge = this.#quality.of(pack.device)
    const readings = pack.readings.map(reading => {
      const { channel, quantity, value, atMs } = reading
      const isTemperature = quantity === Quantity.water || quantity === Quantity.room
      if (!isTemperature || value === null) return reading
      return { ...reading, quality: judge.judge(channel, quantity, value, atMs) }
    })
    return { ...pack, readings }
  }
}

/**
 * Packs of one power-up by their numbers: they came by several sessions at once, and so may have been kept in another order than they
 * were sent in. Each takes the place of one of its own kind, so that the last position stays the last.
 */
export function inTheirOrder(packs: readonly Judgeable[]): Judgeable[] {
  const byBoot = new Map<string, number[]>()
  packs.forEach(({ pack: { device, boot, seq } }, at) => {
    if (boot === null || seq === null) return
    const key = `${device}/${boot}`
    const places = byBoot.get(key)
    if (places === undefined) byBoot.set(key, [at])
    else places.push(at)
  })
  const ordered = packs.map(({ pack }) => pack)
  for (const places of byBoot.values()) {
    if (places.length < 2) continue
    const sorted = places.map(at => packs[at]!.pack).sort((a, b) => a.seq! - b.seq!)
    places.forEach((at, n) => (ordered[at] = sorted[n]!))
  }
  return ordered.map((pack, at) => ({ pack, position: packs[at]!.position }))
}
