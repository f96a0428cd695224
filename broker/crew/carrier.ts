import type { Clock } from '../clock.ts'
import { createExternalIntake, type ExternalIntake, MEASUREMENTS } from '../intake/external.ts'
import type { IntakeLogger } from '../intake/logger.ts'
import type { Kept, Outlet } from '../intake/outlet.ts'
import { createReceiver } from '../intake/receive.ts'
import { newCounts, snapshot, type IntakeStats } from '../intake/stats.ts'
import { Seats } from '../store/postgres/seats.ts'
import type { PostgresPlace } from '../store/postgres/place.ts'
import type { PostgresStore } from '../store/postgres/postgres-store.ts'

/**
 * Sessions at the broker that all workers share. In each one message is under way at a time, so this is how many share a commit. A
 * session is kept by the broker while nobody sits there, so the number never changes: nothing may wait in one that nobody takes.
 */
export const SEATS = 16
/** How often seats are shared out anew, ms. */
const SHARE_OUT_MS = 500
/** So many times of sharing out between two looks for workers that hang. */
const LOOK_FOR_HUNG_EVERY = 10
/** What is remembered of each power-up's numbers: others get most of them, and the database knows all. */
const REPEATS = { boots: 4096, ranges: 64 }

export interface CarrierParts {
  readonly url: string
  readonly place: PostgresPlace
  readonly store: PostgresStore
  readonly clock: Clock
  readonly random: () => number
  readonly monotonicMs: () => number
  readonly logger: IntakeLogger
}

/** The names of a room's sessions and of what they share. */
export const shareOf = ({ schema }: PostgresPlace): string =>
  schema === 'brinewatch' ? schema : `brinewatch-${schema}`

/**
 * Takes in its share of all that devices send, and keeps it; judging is the leader's. The seats of a worker that ends are free at
 * once, and the others sit down on them: what the broker had not been acknowledged comes again there.
 */
export class Carrier {
  readonly #parts: CarrierParts
  readonly #seats: Seats
  readonly #mine = new Map<number, ExternalIntake>()
  readonly #counts = newCounts()
  readonly #receiver
  readonly #timer: NodeJS.Timeout
  #sharing: Promise<void> | null = null
  #failure: string | null = null
  #sharedOut = 0
  #closed = false

  constructor(parts: CarrierParts) {
    this.#parts = parts
    this.#seats = new Seats(parts.place, {
      monotonicMs: parts.monotonicMs,
      onLost: () => this.#standUp(),
    })
    this.#receiver = createReceiver({
      outlet: keepOnly(parts.store),
      registry: parts.store,
      clock: parts.clock,
      logger: parts.logger,
      counts: this.#counts,
      repeats: REPEATS,
    })
    this.#timer = setInterval(() => void this.#share(), SHARE_OUT_MS)
    void this.#share()
  }

  /** Since the start of this worker. */
  stats(): IntakeStats {
    return snapshot(this.#counts)
  }

  /** Sessions that are its own now. */
  get seats(): number {
    return this.#mine.size
  }

  /** Why nothing is taken in, one sentence; `null` while it is. */
  get ailment(): string | null {
    if (this.#failure !== null) return this.#failure
    const isUp = [...this.#mine.values()].some(intake => intake.stats().clients > 0)
    return this.#mine.size > 0 && !isUp ? 'The MQTT broker cannot be reached.' : null
  }

  async close(): Promise<void> {
    this.#closed = true
    clearInterval(this.#timer)
    await this.#sharing
    await Promise.all([...this.#mine.values()].map(intake => intake.close()))
    this.#mine.clear()
    await this.#seats.close()
  }

  #share(): Promise<void> {
    return (this.#sharing ??= this.#shareOut()
      .then(
        () => (this.#failure = null),
        (error: unknown) => {
          if (this.#closed) return
          // Once: it is tried twice a second.
          if (this.#failure === null)
            this.#parts.logger.warn(
              { err: error },
              'the seats at the broker cannot be shared out; tried again',
            )
          const why = error instanceof Error ? error.message : String(error)
          this.#failure = `The database cannot be reached (${why}).`
        },
      )
      .then(() => {
        this.#sharing = null
      }))
  }

  async #shareOut(): Promise<void> {
    if (++this.#sharedOut % LOOK_FOR_HUNG_EVERY === 0) {
      const ended = await this.#seats.endHung()
      if (ended.length > 0)
        this.#parts.logger.warn({ ended }, 'a worker hangs; what it held is for the others to take')
    }
    const fair = Math.ceil(SEATS / (await this.#seats.workers()))
    while (this.#mine.size > fair && !this.#closed) await this.#standUpFrom([...this.#mine.keys()].at(-1)!)
    // From somewhere each, so that workers that begin together do not ask for the same.
    const from = Math.floor(this.#parts.random() * SEATS)
    for (let n = 0; n < SEATS && this.#mine.size < fair && !this.#closed; n++) {
      const seat = (from + n) % SEATS
      if (!this.#mine.has(seat) && (await this.#seats.take(seat))) this.#sitDown(seat)
    }
  }

  #sitDown(seat: number): void {
    const { url, place, clock, logger } = this.#parts
    const share = shareOf(place)
    const intake = createExternalIntake({
      url,
      clientId: `${share}-seat-${seat}`,
      filters: [`$share/${share}/${MEASUREMENTS}`],
      isShared: true,
      outlet: keepOnly(this.#parts.store),
      receiver: this.#receiver,
      clock,
      logger,
    })
    this.#mine.set(seat, intake)
    intake
      .start()
      .catch((error: unknown) => logger.error({ error, seat }, 'the MQTT broker refuses a session'))
  }

  async #standUpFrom(seat: number): Promise<void> {
    // Closed first: whoever takes the seat must not meet this session's connection.
    await this.#mine.get(seat)?.close()
    this.#mine.delete(seat)
    await this.#seats.give(seat)
  }

  /** The seats are lost: others may sit there already. */
  #standUp(): void {
    const mine = [...this.#mine.values()]
    this.#mine.clear()
    for (const intake of mine) void intake.close().catch(() => undefined)
  }
}

/** Keeps what is taken in, and nothing else. */
export function keepOnly(store: Pick<PostgresStore, 'keepPack' | 'keepQuarantine' | 'settled'>): Outlet {
  const told = (work: Promise<void>, kept: Kept): void => {
    work.then(
      () => kept(null),
      (error: unknown) => kept(error instanceof Error ? error : new Error(String(error))),
    )
  }
  return {
    pack: (pack, kept) => told(store.keepPack(pack), kept),
    quarantine: (entry, kept) => told(store.keepQuarantine(entry), kept),
    settled: kept => told(store.settled(), kept),
    report: () => undefined,
  }
}
