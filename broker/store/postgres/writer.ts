import type pg from 'pg'
import type { PlacedPack } from '../../intake/reading.ts'
import { StoreError, StoreErrorCode } from '../contract.ts'
import type { Failure, Outcome } from '../outcome.ts'
import type { GroupWriter } from '../writer.ts'
import type { RecordWrites, WorkOf, Write } from '../writes.ts'
import { isAnswer, isOfTheData, isPassing, toStoreError } from './errors.ts'
import { Link } from './link.ts'
import { Lock, lockArgs } from './locks.ts'
import type { Names } from './names.ts'
import { type Resolved } from './names.ts'
import { writePacks } from './pack-writes.ts'
import type { PostgresPlace } from './place.ts'
import type { Position } from './position.ts'
import { recordWrites } from './record-writes.ts'
import { type Sql, sqlOver } from './sql.ts'

export interface PgWrites extends RecordWrites {
  packs: Write<readonly PlacedPack[]>
  /** Up to where readings have been judged. */
  judged: Write<Position>
}
type PgWork = WorkOf<PgWrites>

/** A statement of the writer that takes longer has failed, ms. */
const ANSWER_MS = 20_000
/** How often a group is done again that another transaction stood in the way of. */
const MOST_TRIES = 3
/** How long it is tried to find out what became of a commit whose answer was lost, ms, and how often. */
const FATE_MS = 5000
const FATE_EVERY_MS = 200

export interface WriterParts {
  readonly place: PostgresPlace
  readonly names: Names
  readonly monotonicMs: () => number
  /** Why nothing may be written now, if so: another process has taken the service over. */
  readonly refuses?: () => StoreError | null
  /** Of the one that leads: the number of its lead, without which nothing is written any more. */
  readonly epoch?: number
}

/** What a group did: its outcome, and what is to be remembered of it. */
interface Done {
  readonly answers: unknown[]
  readonly refused: (Failure & { index: number })[]
  readonly learned: Resolved[]
}

/**
 * Writes groups over one connection, each in one transaction. Where the connection is lost while a commit is under way, the database
 * is asked afterwards what became of it. Nothing is done again by itself but what another transaction stood in the way of: whoever
 * was told that it is not on disk asks again.
 */
export class PgWriter implements GroupWriter<PgWrites> {
  readonly overlaps = true
  readonly #link: Link
  readonly #parts: WriterParts

  constructor(parts: WriterParts) {
    this.#parts = parts
    this.#link = new Link(
      parts.place,
      { name: 'writing', pipeline: true, answerMs: ANSWER_MS },
      { monotonicMs: parts.monotonicMs },
    )
  }

  get isUp(): boolean {
    return this.#link.isUp
  }

  /** Rejects where the database cannot be reached. */
  async reach(): Promise<void> {
    await this.#link.client()
  }

  write(doing: string, works: readonly PgWork[], ended: (outcome: Outcome) => void): void {
    void this.#run(doing, works).then(ended)
  }

  poll(): void {}

  close(): Promise<void> {
    return this.#link.close()
  }

  async #run(doing: string, works: readonly PgWork[]): Promise<Outcome> {
    let apart = false
    for (let attempt = 1; ; attempt++) {
      try {
        const refusal = this.#parts.refuses?.() ?? null
        if (refusal !== null) throw refusal
        const { answers, refused, learned } = await this.#transaction(works, apart)
        for (const each of learned) this.#parts.names.learn(each)
        return { failure: null, answers, refused }
      } catch (error) {
        if (isPassing(error) && attempt < MOST_TRIES) continue
        // Something in it can never be written: found by doing each piece of work by itself.
        if (isOfTheData(error) && !apart && works.length > 1) {
          apart = true
          continue
        }
        const { code, message } = toStoreError(doing, error)
        return { failure: { code, message }, answers: [], refused: [] }
      }
    }
  }

  async #transaction(works: readonly PgWork[], apart: boolean): Promise<Done> {
    const client = await this.#link.client()
    let committing: string | null = null
    try {
      const lock = works.some(({ kind }) => kind === 'packs')
        ? `SELECT pg_advisory_xact_lock_shared(${lockArgs(this.#parts.place.schema, Lock.packs)});`
        : ''
      const { epoch, place } = this.#parts
      // The next leader takes this lock alone when it begins: whatever an earlier one still writes is before it, or not at all.
      const fence =
        epoch === undefined
          ? ''
          : `SELECT pg_advisory_xact_lock_shared(${lockArgs(place.schema, Lock.fence)});`
      const begun = (await client.query(
        `BEGIN; ${lock} ${fence} SELECT pg_current_xact_id()::text AS xid, (SELECT epoch FROM lead) AS epoch`,
      )) as unknown as pg.QueryResult<{ xid: string; epoch: number }>[]
      const { xid, epoch: now } = begun.at(-1)!.rows[0]!
      if (epoch !== undefined && now !== epoch) throw ledByAnother()
      const done = await this.#do(client, works, apart)
      committing = xid
      await client.query('COMMIT')
      return done
    } catch (error) {
      if (isAnswer(error) || error instanceof StoreError) {
        await client.query('ROLLBACK').catch(() => this.#link.drop())
        throw error
      }
      this.#link.drop()
      if (committing !== null && (await this.#isCommitted(committing))) return fateOnly(works)
      throw error
    }
  }

  async #do(client: pg.Client, works: readonly PgWork[], apart: boolean): Promise<Done> {
    const sql = sqlOver(client)
    const done: Done = { answers: [], refused: [], learned: [] }
    const after = new Set<string>()
    const one = async (work: PgWork, index: number): Promise<void> => {
      try {
        const answer = await this.#doOne(sql, work, done)
        if (typeof answer === 'string') after.add(answer)
        else done.answers[index] = answer
      } catch (error) {
        if (!(error instanceof StoreError)) throw error
        done.refused.push({ index, code: error.code, message: error.message })
      }
    }
    if (apart) {
      for (let index = 0; index < works.length; index++)
        await this.#byItself(client, works[index]!, index, one, done)
    } else {
      // Sent one behind the other; the first that failed says why, the rest that the transaction had failed before.
      const ended = await Promise.allSettled(works.map(one))
      const failed = ended.find(each => each.status === 'rejected')
      if (failed !== undefined) throw failed.reason
    }
    for (const words of after) await sql.rows(words)
    return done
  }

  async #byItself(
    client: pg.Client,
    work: PgWork,
    index: number,
    one: (work: PgWork, index: number) => Promise<void>,
    done: Done,
  ): Promise<void> {
    await client.query('SAVEPOINT one')
    try {
      await one(work, index)
      await client.query('RELEASE SAVEPOINT one')
    } catch (error) {
      // Readings are acknowledged with the group: they are in it, or it is not kept.
      if (!isOfTheData(error) || work.kind === 'packs') throw error
      await client.query('ROLLBACK TO SAVEPOINT one')
      const { code, message } = toStoreError('keep it', error)
      done.refused.push({ index, code, message })
    }
  }

  async #doOne(sql: Sql, work: PgWork, done: Done): Promise<unknown> {
    if (work.kind === 'packs') {
      done.learned.push(await writePacks(sql, this.#parts.names, work.what))
      return undefined
    }
    if (work.kind === 'judged') {
      await sql.rows('UPDATE lead SET tx = $1::xid8, id = $2', [work.what.tx, work.what.id])
      return undefined
    }
    const write = recordWrites[work.kind] as (sql: Sql, what: unknown) => Promise<unknown>
    return write(sql, work.what)
  }

  /** Whether a transaction whose answer was lost was committed. What cannot be found out counts as not. */
  async #isCommitted(xid: string): Promise<boolean> {
    const untilMs = this.#parts.monotonicMs() + FATE_MS
    while (this.#parts.monotonicMs() < untilMs) {
      try {
        const client = await this.#link.client()
        const { rows } = await client.query<{ status: string | null }>(
          'SELECT pg_xact_status($1::xid8) AS status',
          [xid],
        )
        const status = rows[0]?.status
        if (status !== 'in progress') return status === 'committed'
      } catch {
        // Not reached yet.
      }
      await new Promise(resolve => setTimeout(resolve, FATE_EVERY_MS))
    }
    return false
  }
}

/** Another process judges and is heard by people now. */
export function ledByAnother(): StoreError {
  return new StoreError(
    StoreErrorCode.inUse,
    'Cannot keep what came in: another worker leads by now; this one stands by, nothing needs doing',
  )
}

/** The group is on disk, and what was answered to single works is lost. */
function fateOnly(works: readonly PgWork[]): Done {
  const message = 'Cannot say what became of it: the connection was lost meanwhile; look'
  const refused = works.flatMap(({ kind }, index) =>
    ANSWERING.has(kind) ? [{ index, code: StoreErrorCode.failed, message }] : [],
  )
  return { answers: [], refused, learned: [] }
}

/** Works whose answer matters. */
const ANSWERING: ReadonlySet<PgWork['kind']> = new Set([
  'device',
  'revoke',
  'removeDevice',
  'offerSecret',
  'takeSecret',
  'dropToken',
])
