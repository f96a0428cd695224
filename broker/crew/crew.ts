import type { Logger } from 'pino'
import type { Clock } from '../clock.ts'
import type { Endpoint, Flags } from '../flags.ts'
import { addressForPeople, ownNames } from '../own-addresses.ts'
import { needPassword } from '../need-password.ts'
import { type Running, start } from '../start.ts'
import { Claim, type Lead, type Leader } from '../store/postgres/lead.ts'
import { openPostgresStore } from '../store/postgres/open.ts'
import type { PostgresPlace } from '../store/postgres/place.ts'
import { PgAccess, type PostgresStore } from '../store/postgres/postgres-store.ts'
import { Certificates } from '../tls/certificates.ts'
import { Carrier, shareOf } from './carrier.ts'
import { JudgingLoop } from './judging-loop.ts'
import type { Led } from './led.ts'
import { StandBy } from './stand-by.ts'

/** How often a worker that stands by asks for the lead, ms. */
const ASK_EVERY_MS = 500

interface CrewParts {
  readonly clock: Clock
  readonly random: () => number
  readonly logger: Logger
}

/**
 * One of several workers on one database and one broker. All take in; one leads: it judges, tells people, and shows them the room. The
 * lead hangs on a connection to the database: when the leader ends, or loses that, another takes it and goes on where it was.
 */
export async function startCrew(flags: Flags, place: PostgresPlace, parts: CrewParts): Promise<Running> {
  const worker = new CrewWorker(flags, place, parts)
  try {
    return await worker.start()
  } catch (error) {
    await worker.close()
    throw error
  }
}

const monotonicMs = (): number => performance.now()

class CrewWorker {
  readonly #flags: Flags
  readonly #place: PostgresPlace
  readonly #parts: CrewParts
  readonly #name: string
  readonly #claim: Claim
  #tls: Certificates | null = null
  #store: PostgresStore | null = null
  #carrier: Carrier | null = null
  #standBy: StandBy | null = null
  #http: Endpoint
  #leader: Leader | null = null
  #leading: Leading | null = null
  #timer: NodeJS.Timeout | null = null
  /** The step from standing by to leading, or back, that is under way. */
  #step: Promise<void> = Promise.resolve()
  /** The database could not be reached the last time. */
  #isCutOff = false
  #closed = false

  constructor(flags: Flags, place: PostgresPlace, parts: CrewParts) {
    this.#flags = flags
    this.#place = place
    this.#parts = parts
    this.#name = flags.worker ?? `worker-${Math.floor(parts.random() * 1e6).toString(36)}`
    this.#http = flags.http
    this.#claim = new Claim(place, monotonicMs)
  }

  async start(): Promise<Running> {
    const { clock, random, logger } = this.#parts
    const { tlsDir, gatherMs } = this.#flags
    const store = await openPostgresStore({
      place: this.#place,
      access: PgAccess.worker,
      clock,
      logger,
      gatherMs,
    })
    this.#store = store
    await needPassword(this.#flags, store)
    this.#tls = tlsDir === null ? null : await Certificates.open({ dir: tlsDir, clock, hosts: ownNames })
    this.#tls?.onChange(pair => this.#standBy?.useCertificate(pair))
    this.#carrier = new Carrier({
      url: this.#flags.mqttUrl!,
      place: this.#place,
      store,
      clock,
      random,
      monotonicMs,
      logger,
    })
    await this.#beginStandingBy()
    await this.#ask()
    this.#timer = setInterval(() => void this.#ask(), ASK_EVERY_MS)
    const authority = this.#tls?.authority ? { fingerprint: this.#tls.fingerprint } : null
    return {
      http: this.#http,
      mqtt: null,
      clear: null,
      encrypted: this.#tls !== null,
      authority,
      close: () => this.close(),
      ailment: async () => (await this.#leading?.running?.ailment()) ?? null,
    }
  }

  async close(): Promise<void> {
    this.#closed = true
    if (this.#timer !== null) clearInterval(this.#timer)
    await this.#step.catch(() => undefined)
    await this.#carrier?.close()
    await this.#leading?.end()
    await this.#standBy?.close()
    await this.#claim.close()
    await this.#store?.close()
  }

  /** Asks for the lead, unless it has it or is on the way to it. */
  async #ask(): Promise<void> {
    if (this.#leading !== null || this.#closed) return
    await this.#tls?.look()
    let lead: Lead | null = null
    try {
      lead = await this.#claim.take({
        worker: this.#name,
        address: addressForPeople(this.#http, this.#tls !== null),
      })
      this.#leader = await this.#claim.leader()
      this.#isCutOff = false
    } catch (error) {
      this.#leader = null
      // Once: it is asked for twice a second.
      if (!this.#isCutOff && !this.#closed)
        this.#parts.logger.warn({ err: error }, 'the lead cannot be asked for; tried again and again')
      this.#isCutOff = true
    }
    if (lead === null || this.#closed || this.#leading !== null) return
    const leading = (this.#leading = new Leading(lead))
    // Told at once, though the step there may be under way.
    lead.onLost(() => void this.#then(() => this.#endLeading(leading)))
    await this.#then(() => this.#beginLeading(leading))
  }

  #then(step: () => Promise<void>): Promise<void> {
    this.#step = this.#step.then(step, step).catch((error: unknown) => {
      this.#parts.logger.error({ error }, 'a worker could not change from standing by to leading, or back')
    })
    return this.#step
  }

  async #beginLeading(leading: Leading): Promise<void> {
    const { clock, logger } = this.#parts
    const { lead } = leading
    if (lead.isLost || this.#closed) return
    logger.info({ worker: this.#name, epoch: lead.epoch }, 'leads from now on')
    try {
      leading.store = await openPostgresStore({
        place: this.#place,
        access: PgAccess.leader,
        clock,
        logger,
        lead: { epoch: lead.epoch, judged: lead.position, isLost: () => lead.isLost },
      })
      await this.#standBy?.close()
      this.#standBy = null
      leading.running = await start({ ...this.#flags, http: this.#http }, this.#parts, this.#ledBy(leading))
    } catch (error) {
      logger.error({ error }, 'the lead was taken, and the room could not be opened; another is to try')
      await this.#endLeading(leading)
    }
  }

  #ledBy(leading: Leading): Led {
    const { clock, logger } = this.#parts
    const store = leading.store!
    return {
      store,
      position: leading.lead.position,
      clientId: `${shareOf(this.#place)}-lead`,
      judge: room => (leading.loop = new JudgingLoop({ lead: leading.lead, store, room, clock, logger })),
      stats: () => this.#carrier!.stats(),
      ailments: () => this.#ailments(leading),
    }
  }

  #ailments(leading: Leading | null): string[] {
    return [this.#carrier?.ailment ?? null, leading?.loop?.ailment ?? null].filter(each => each !== null)
  }

  async #endLeading(leading: Leading): Promise<void> {
    if (this.#leading !== leading) return
    this.#parts.logger.warn({ worker: this.#name }, 'leads no longer; stands by')
    await leading.end()
    this.#claim.drop()
    this.#leading = null
    // Who it is now is known when it is asked for the next time; itself it is not.
    this.#leader = null
    if (!this.#closed) await this.#beginStandingBy()
  }

  async #beginStandingBy(): Promise<void> {
    this.#standBy = new StandBy({
      worker: this.#name,
      leader: () => this.#leader,
      ailments: () => this.#ailments(null),
      tls: this.#tls,
    })
    this.#http = await this.#standBy.listen(this.#http.host, this.#http.port)
  }
}

/** What a worker has open while it leads. */
class Leading {
  readonly lead: Lead
  store: PostgresStore | null = null
  loop: JudgingLoop | null = null
  running: Running | null = null

  constructor(lead: Lead) {
    this.lead = lead
  }

  async end(): Promise<void> {
    await this.loop?.close()
    await this.running?.close()
    await this.store?.close()
    this.loop = this.running = this.store = null
  }
}
