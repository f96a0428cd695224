import type pg from 'pg'
import { endHung, HUNG_S } from './hung.ts'
import { Link } from './link.ts'
import { Lock, lockArgs } from './locks.ts'
import type { PostgresPlace } from './place.ts'
import { sqlOver } from './sql.ts'

const ANSWER_MS = 4000

/** Seats that several workers share out among themselves: each is one worker's at a time, and free at once when its connection ends. */
export class Seats {
  readonly #link: Link
  readonly #schema: string
  #present: pg.Client | null = null

  /** `onLost`: every seat is somebody else's from now on. */
  constructor(place: PostgresPlace, parts: { monotonicMs: () => number; onLost: () => void }) {
    this.#schema = place.schema
    this.#link = new Link(place, { name: 'seats', answerMs: ANSWER_MS }, parts)
  }

  /** How many workers want seats now, this one among them. */
  async workers(): Promise<number> {
    const client = await this.#link.client()
    const sql = sqlOver(client)
    if (this.#present !== client) {
      await sql.rows(`SELECT pg_advisory_lock_shared(${lockArgs(this.#schema, Lock.presence)})`)
      this.#present = client
    }
    const [row] = await sql.rows<{ workers: number }>(
      `SELECT count(DISTINCT pid) AS workers FROM pg_locks
       WHERE locktype = 'advisory' AND granted AND objsubid = 2 AND objid = ${Lock.presence}
         AND classid::bigint = (hashtext('brinewatch ${this.#schema}')::bigint & 4294967295)
         AND database = (SELECT oid FROM pg_database WHERE datname = current_database())`,
    )
    return Math.max(1, row?.workers ?? 1)
  }

  /** Whether the seat is this worker's now. */
  async take(seat: number): Promise<boolean> {
    const sql = sqlOver(await this.#link.client())
    const lock = `SELECT pg_try_advisory_lock(${lockArgs(this.#schema, Lock.seats + seat)}) AS got`
    return (await sql.rows<{ got: boolean }>(lock))[0]!.got
  }

  async give(seat: number): Promise<void> {
    const sql = sqlOver(await this.#link.client())
    await sql.rows(`SELECT pg_advisory_unlock(${lockArgs(this.#schema, Lock.seats + seat)})`)
  }

  /** Frees the lead and the seats of workers that hang: see `endHung`. */
  async endHung(hungS = HUNG_S): Promise<string[]> {
    return endHung(sqlOver(await this.#link.client()), this.#schema, hungS)
  }

  close(): Promise<void> {
    return this.#link.close()
  }
}
