import type { PlacedPack } from '../../intake/reading.ts'
import type { HistoryQuery, Sample, Source, Store } from '../contract.ts'
import { GroupCommit } from '../group-commit.ts'
import { checkHistoryQuery } from '../history-query.ts'
import { KeepingStore } from '../keeping-store.ts'
import { closed, openedBeside } from '../refusals.ts'
import { toSamples } from '../samples.ts'
import { toStoreError } from './errors.ts'
import { Journal } from './journal.ts'
import { Maintenance } from './maintenance.ts'
import { openRecords } from './open-records.ts'
import type { Rescue } from './rescue.ts'
import { Speakers } from './speakers.ts'
import { Access, type SqliteStoreParts } from './store-parts.ts'
import type { Writes } from './writes.ts'

/** The contract on one SQLite file. Made by `openStore`. */
export class SqliteStore extends KeepingStore implements Store {
  /** What had to be done to the files before they could be opened. */
  readonly rescue: Rescue | null
  readonly #parts: SqliteStoreParts
  readonly #commits: GroupCommit<Writes>
  readonly #journal: Journal
  readonly #maintenance: Maintenance
  #closing: Promise<void> | null = null

  constructor(parts: SqliteStoreParts) {
    const { rescue, gatherMs = 0, db, writer, access, packing, logger, clock } = parts
    const hooks = {
      closing: () => this.#journal.closing(),
      committed: () => {
        this.#journal.committed()
        if (this.#parts.access === Access.service) this.#maintenance.committed()
      },
    }
    const commits = new GroupCommit<Writes>(writer, hooks, gatherMs)
    super({
      records: openRecords(db),
      commits,
      clock: access === Access.reading ? null : clock,
      toStoreError,
    })
    this.rescue = rescue
    this.#parts = parts
    this.#commits = commits
    this.#journal = new Journal(db, commits, new Speakers(db, commits), logger)
    this.#maintenance = new Maintenance(commits, this.#journal, packing, logger)
  }

  protected get isClosed(): boolean {
    return this.#closing !== null
  }

  protected get isReadOnly(): boolean {
    return this.#parts.access === Access.reading
  }

  /** Packs that are kept together get one and the same promise. */
  keepPack(pack: PlacedPack): Promise<void> {
    return this.#keepReadings('keep a pack', () => {
      try {
        return this.#journal.keep(pack)
      } catch (error) {
        return Promise.reject(toStoreError('keep a pack', error))
      }
    })
  }

  seen(device: string, boot: string): readonly (readonly [from: number, to: number])[] {
    if (this.#closing !== null) throw closed('look up a pack')
    return this.#journal.seen(device, boot)
  }

  channels(device: string): readonly { readonly name: string; readonly unit: string }[] {
    if (this.#closing !== null) throw closed('look up channels')
    return this.#journal.channels(device)
  }

  async latest() {
    this.open('read the newest readings')
    await this.#gathered()
    return this.#parts.reading.ask('latest', null)
  }

  async samples(sources: readonly Source[]): Promise<Sample[]> {
    this.open('read samples')
    await this.#gathered()
    return await toSamples(await this.#parts.reading.ask('samples', sources))
  }

  async history(query: HistoryQuery) {
    this.open('read history')
    checkHistoryQuery(query)
    await this.#gathered()
    return this.#parts.reading.ask('history', query)
  }

  seal(device: string): Promise<void> {
    return this.#keepReadings('pack readings', async () => {
      await this.#gathered()
      await this.#maintenance.seal(device)
    })
  }

  dropReadings(beforeMs: number, keep: readonly Source[]): Promise<number> {
    return this.#keepReadings('drop readings', () => this.#maintenance.drop(beforeMs, keep))
  }

  settled(): Promise<void> {
    if (this.#closing !== null) return Promise.reject(closed('wait for the disk'))
    return this.#commits.settled()
  }

  /** False when the writing thread ends as often as it is started, which opening the store anew may mend. */
  get canWrite(): boolean {
    return this.#parts.writer.lives
  }

  async backup(file: string): Promise<void> {
    this.open('write a backup')
    await this.#parts.packing.ask('backup', file)
  }

  /** The file may grow to so many bytes and no further; then keeping rejects with code `full` until there is room. */
  limitBytes(bytes: number): void {
    this.open('limit the file')
    this.#parts.writer.limitBytes(bytes)
  }

  close(): Promise<void> {
    this.#closing ??= this.#close()
    return this.#closing
  }

  async #close(): Promise<void> {
    await this.#commits.drained()
    await this.#maintenance.close()
    await Promise.all([this.#parts.reading.close(), this.#parts.packing.close(), this.#parts.writer.close()])
    this.#parts.db.close()
    this.#parts.unlock()
  }

  /** Has what gathers for long written, for whoever reads. */
  async #gathered(): Promise<void> {
    if ((this.#parts.gatherMs ?? 0) > 0) await this.#commits.settled().catch(() => undefined)
  }

  #keepReadings<T>(doing: string, work: () => Promise<T>): Promise<T> {
    if (this.#closing !== null) return Promise.reject(closed(doing))
    if (this.#parts.access === Access.service) return work()
    return Promise.reject(openedBeside(doing))
  }
}
