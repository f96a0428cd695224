import type { Clock } from '../../clock.ts'
import type { PlacedPack } from '../../intake/reading.ts'
import { checkedMark, checkHeader, checkTime } from '../checks.ts'
import type { HistoryQuery, RuleMemory, Sample, Source, Store } from '../contract.ts'
import { GroupCommit } from '../group-commit.ts'
import { checkHistoryQuery } from '../history-query.ts'
import { KeepingStore } from '../keeping-store.ts'
import type { StoreLogger } from '../logger.ts'
import { closed, openedBeside } from '../refusals.ts'
import { toStoreError } from './errors.ts'
import type { Names } from './names.ts'
import { openRecords } from './open-records.ts'
import { Packer } from './packer.ts'
import type { Pools } from './pools.ts'
import type { Position } from './position.ts'
import { Reader } from './reader.ts'
import type { Seen } from './seen.ts'
import type { PgWriter, PgWrites } from './writer.ts'

/** What a store may do with the database. */
export const PgAccess = {
  /** Everything, alone: readings are judged where they are taken in. */
  service: 'service',
  /** Everything, beside others that do the same: readings are judged by the one that leads. */
  worker: 'worker',
  /** The one of the workers that leads, where it judges and serves people. */
  leader: 'leader',
  /** Everything but readings. */
  tool: 'tool',
  reading: 'reading',
} as const
export type PgAccess = (typeof PgAccess)[keyof typeof PgAccess]

export interface PostgresStoreParts {
  readonly access: PgAccess
  readonly schema: string
  readonly writer: PgWriter
  readonly pools: Pools
  readonly names: Names
  readonly seen: Seen
  readonly clock: Clock | null
  readonly logger: StoreLogger
  readonly gatherMs: number
  /** Packs after it have not been judged; `null`: all have. */
  readonly judged: Position | null
  /** Lets go of what makes this the only service, if it is. */
  readonly unlock: () => Promise<void>
}

/** So many packs are kept before those are looked for that can be moved into chunks. */
const LOOK_EVERY_PACKS = 4096

/** The contract on one schema of a PostgreSQL database. Made by `openPostgresStore`. */
export class PostgresStore extends KeepingStore implements Store {
  readonly #parts: PostgresStoreParts
  readonly #commits: GroupCommit<PgWrites>
  readonly #packer: Packer
  #gathered: PlacedPack[] = []
  #underWay: readonly PlacedPack[] = []
  #judged: Position | null
  #upTo: Position | null = null
  #packsSinceLook = 0
  /** Packing and dropping, one after the other. */
  #tidying: Promise<unknown> = Promise.resolve()
  #looking = false
  #closing: Promise<void> | null = null

  constructor(parts: PostgresStoreParts) {
    const hooks = { closing: () => this.#closeGroup(), committed: () => this.#committed() }
    const commits = new GroupCommit<PgWrites>(parts.writer, hooks, parts.gatherMs)
    super({
      records: openRecords(parts.pools.sql),
      commits,
      clock: parts.access === PgAccess.reading ? null : parts.clock,
      toStoreError,
    })
    this.#parts = parts
    this.#commits = commits
    this.#judged = parts.judged
    this.#packer = new Packer({
      pools: parts.pools,
      schema: parts.schema,
      judged: () => this.#judged,
      isOver: () => this.#closing !== null,
    })
  }

  protected get isClosed(): boolean {
    return this.#closing !== null
  }

  protected get isReadOnly(): boolean {
    return this.#parts.access === PgAccess.reading
  }

  /** Packs that are kept together get one and the same promise. */
  keepPack(pack: PlacedPack): Promise<void> {
    return this.#keepReadings('keep a pack', () => {
      try {
        check(pack)
      } catch (error) {
        return Promise.reject(toStoreError('keep a pack', error))
      }
      if (this.#gathered.length === 0) this.#commits.onFailure(() => this.#forget())
      this.#gathered.push(pack)
      return this.#commits.pack()
    })
  }

  /** Of a worker always none: others take in the same device's packs, and the database knows them all. */
  seen(device: string, boot: string): readonly (readonly [from: number, to: number])[] {
    if (this.#closing !== null) throw closed('look up a pack')
    return this.#parts.seen.of(device, boot)
  }

  channels(device: string): readonly { readonly name: string; readonly unit: string }[] {
    if (this.#closing !== null) throw closed('look up channels')
    return this.#parts.names.channels(device)
  }

  latest() {
    return this.#ask('read the newest readings', reader => reader.latest())
  }

  samples(sources: readonly Source[]): Promise<Sample[]> {
    return this.#ask('read samples', reader => reader.samples(sources))
  }

  async history(query: HistoryQuery) {
    this.open('read history')
    checkHistoryQuery(query)
    return this.#ask('read history', reader => reader.history(query))
  }

  seal(device: string): Promise<void> {
    return this.#keepReadings('pack readings', () =>
      this.#tidy('pack readings', () => this.#packer.seal(device)),
    )
  }

  dropReadings(beforeMs: number, keep: readonly Source[]): Promise<number> {
    return this.#keepReadings('drop readings', () =>
      this.#tidy('drop readings', () => this.#packer.drop(beforeMs, keep)),
    )
  }

  /** Rejects, too, where the database cannot be reached now, though nothing waits for it. */
  settled(): Promise<void> {
    if (this.#closing !== null) return Promise.reject(closed('wait for the disk'))
    const settled = this.#commits.settled()
    if (this.#parts.writer.isUp || this.isReadOnly) return settled
    const reach = (): Promise<void> =>
      this.#parts.writer.reach().catch((error: unknown) => {
        throw toStoreError('reach the database', error)
      })
    return settled.then(reach)
  }

  /** It is tried again by itself for as long as it takes: a new start would mend nothing. */
  readonly canWrite = true

  /** Up to where readings have been judged: once that is on disk, these may be moved into chunks. With what else is kept in this turn. */
  async keepJudged(position: Position): Promise<void> {
    this.open('keep what was judged')
    await this.#commits.keep('judged', position)
    this.#judged = position
  }

  /** Told of each memory of the rules that is given to be kept, before it is. */
  onRuleMemory: (() => void) | null = null

  override keepRuleMemory(memory: RuleMemory): Promise<void> {
    this.onRuleMemory?.()
    return super.keepRuleMemory(memory)
  }

  /** Readings after the position are as if they were not there, until it is given `null`. */
  readUpTo(position: Position | null): void {
    this.#upTo = position
  }

  /** Moves readings into chunks where there are many loose ones; a failure is logged. */
  lookForLoose(): void {
    if (this.#looking || this.#closing !== null) return
    this.#looking = true
    this.#packsSinceLook = 0
    this.#tidy('pack readings', () => this.#packer.look())
      .catch((error: unknown) => {
        if (this.#closing === null)
          this.#parts.logger.error({ err: error }, 'readings could not be packed; they stay as they came')
      })
      .finally(() => (this.#looking = false))
  }

  close(): Promise<void> {
    this.#closing ??= this.#close()
    return this.#closing
  }

  async #close(): Promise<void> {
    await this.#commits.drained()
    await this.#tidying.catch(() => undefined)
    await Promise.all([this.#parts.writer.close(), this.#parts.pools.close()])
    await this.#parts.unlock()
  }

  #closeGroup(): void {
    if (this.#gathered.length === 0) return
    this.#commits.add('packs', this.#gathered)
    this.#underWay = this.#gathered
    this.#gathered = []
  }

  #committed(): void {
    const packs = this.#underWay
    this.#underWay = []
    const { access, seen } = this.#parts
    if (access !== PgAccess.service) return
    seen.add(packs)
    this.#packsSinceLook += packs.length
    if (this.#packsSinceLook >= LOOK_EVERY_PACKS) this.lookForLoose()
  }

  /** A group failed, and the one that gathers behind it with it. */
  #forget(): void {
    this.#gathered = []
    this.#underWay = []
  }

  #ask<T>(doing: string, ask: (reader: Reader) => Promise<T>): Promise<T> {
    return this.read(doing, async () => {
      if (this.#parts.gatherMs > 0) await this.#commits.settled().catch(() => undefined)
      const upTo = this.#upTo
      return this.#parts.pools.atOnce(sql => ask(new Reader(sql, upTo)))
    })
  }

  #tidy<T>(doing: string, job: () => Promise<T>): Promise<T> {
    const result = this.#tidying.then(job, job).catch((error: unknown) => {
      throw toStoreError(doing, error)
    })
    this.#tidying = result.catch(() => undefined)
    return result
  }

  #keepReadings<T>(doing: string, work: () => Promise<T>): Promise<T> {
    if (this.#closing !== null) return Promise.reject(closed(doing))
    const { access } = this.#parts
    if (access !== PgAccess.tool && access !== PgAccess.reading) return work()
    return Promise.reject(openedBeside(doing))
  }
}

/** Throws a StoreError for what cannot be kept exactly: nothing else of its group is to fail with it. */
function check(pack: PlacedPack): void {
  checkHeader(pack)
  for (const reading of pack.readings) {
    checkTime(reading.atMs)
    checkedMark(reading)
  }
}
