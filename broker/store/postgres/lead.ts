import type pg from 'pg'
import type { PlacedPack, Reading } from '../../intake/reading.ts'
import { Quantity } from '../../intake/reading.ts'
import { quantityOf } from '../../../firmware-protocol/channels.ts'
import { isMissing, qualityOf } from '../codec/mark.ts'
import { readPack } from '../codec/pack-body.ts'
import { isAnswer } from './errors.ts'
import { Link } from './link.ts'
import { Lock, lockArgs } from './locks.ts'
import type { PostgresPlace } from './place.ts'
import type { Position } from './position.ts'
import { inTransaction, sqlOver } from './sql.ts'

/** The leader's own connection answers so fast or counts as lost, ms: sooner than the server gives its lock to another. */
const ANSWER_MS = 4000
/** How often it shows that it lives, ms: also while it opens the room and judges nothing yet. See `endHung`. */
const BEAT_MS = 2000

/** Who leads, as all can read. */
export interface Leader {
  readonly worker: string
  /** Where people reach it. */
  readonly address: string
}

/** One process's claim on the lead: asks for it, and holds it as long as one connection lasts. */
export class Claim {
  readonly #link: Link
  readonly #schema: string
  #lead: Lead | null = null

  constructor(place: PostgresPlace, monotonicMs: () => number) {
    this.#schema = place.schema
    const onLost = (): void => {
      const lead = this.#lead
      this.#lead = null
      lead?.lose()
    }
    this.#link = new Link(place, { name: 'leading', answerMs: ANSWER_MS }, { monotonicMs, onLost })
  }

  /** The lead if nobody else has it, else `null`. Rejects where the database cannot be reached. */
  async take(me: Leader): Promise<Lead | null> {
    const client = await this.#link.client()
    const lock = `SELECT pg_try_advisory_lock(${lockArgs(this.#schema, Lock.lead)}) AS got`
    if (!(await sqlOver(client).rows<{ got: boolean }>(lock))[0]!.got) return null
    try {
      const begun = await begin(client, this.#schema, me)
      return (this.#lead = new Lead(client, begun, () => this.#link.drop()))
    } catch (error) {
      this.#link.drop()
      throw error
    }
  }

  async leader(): Promise<Leader> {
    const sql = sqlOver(await this.#link.client())
    return (await sql.rows<Leader>('SELECT worker, address FROM lead'))[0]!
  }

  /** Lets go of the lead, if it has it; it can be asked for again. */
  drop(): void {
    this.#letGo()
    this.#link.drop()
  }

  close(): Promise<void> {
    this.#letGo()
    return this.#link.close()
  }

  #letGo(): void {
    this.#lead?.rest()
    this.#lead = null
  }
}

interface Begun {
  readonly epoch: number
  readonly position: Position
}

/** What every transaction that an earlier leader still has under way writes is before this, or refused. */
function begin(client: pg.Client, schema: string, me: Leader): Promise<Begun> {
  return inTransaction(client, 'BEGIN', async sql => {
    await sql.rows(`SELECT pg_advisory_xact_lock(${lockArgs(schema, Lock.fence)})`)
    const [row] = await sql.rows<{ epoch: number; tx: string | null; id: number | null }>(
      'UPDATE lead SET epoch = epoch + 1, worker = $1, address = $2 RETURNING epoch, tx::text, id',
      [me.worker, me.address],
    )
    const { epoch, tx, id } = row!
    const [now] = await sql.rows<{ xmin: string; ahead: boolean }>(
      `SELECT pg_snapshot_xmin(pg_current_snapshot())::text AS xmin,
         greatest($1::xid8, (SELECT max(tx) FROM pack)) > pg_current_xact_id() AS ahead`,
      [tx ?? '0'],
    )
    // Judged where they were taken in: only what comes from now on is to be judged.
    if (tx === null || id === null) return { epoch, position: { tx: now!.xmin, id: 0 } }
    if (!now!.ahead) return { epoch, position: { tx, id } }
    // The data were brought here from another server, which had counted its transactions further: the order is written anew.
    await sql.rows(
      `UPDATE pack SET tx = CASE WHEN (tx, id) > ($1::xid8, $2::bigint) THEN '4'::xid8 ELSE '3'::xid8 END`,
      [tx, id],
    )
    await sql.rows(`UPDATE lead SET tx = '4', id = 0`)
    return { epoch, position: { tx: '4', id: 0 } }
  })
}

interface Row {
  readonly tx: string
  readonly id: number
  readonly device: string
  readonly boot: string | null
  readonly seq: number | null
  readonly receivedMs: number
  readonly body: Uint8Array
}

/** A pack with its place in the order of judging. */
export interface Judgeable {
  readonly pack: PlacedPack
  readonly position: Position
}

/**
 * Packs after a position, up to where nothing can appear any more: a transaction below the oldest that is under way has ended. One that
 * writes and stays open, anybody's in the whole server, holds them back; see `waiting`.
 */
const NEXT = `SELECT pack.tx::text, pack.id, speaker.name AS device, boot.name AS boot, pack.seq,
    pack.received_ms AS "receivedMs", pack.body
  FROM pack JOIN speaker ON speaker.id = pack.speaker LEFT JOIN boot ON boot.id = pack.boot
  WHERE (pack.tx, pack.id) > ($1::xid8, $2::bigint) AND pack.tx < pg_snapshot_xmin(pg_current_snapshot())
  ORDER BY pack.tx, pack.id LIMIT $3`

export class Lead {
  readonly epoch: number
  /** Up to where an earlier leader judged. */
  readonly position: Position
  readonly #client: pg.Client
  readonly #drop: () => void
  readonly #channels = new Map<number, { readonly name: string; readonly unit: string }>()
  readonly #beat: NodeJS.Timeout
  #isLost = false
  #onLost: () => void = () => undefined

  constructor(client: pg.Client, { epoch, position }: Begun, drop: () => void) {
    this.#client = client
    this.epoch = epoch
    this.position = position
    this.#drop = drop
    // An error is the connection's end, which is told; nothing else can go wrong with so little.
    this.#beat = setInterval(() => void this.#rows('SELECT 1', []).catch(() => undefined), BEAT_MS)
  }

  get isLost(): boolean {
    return this.#isLost
  }

  /** Called once, at once. */
  onLost(act: () => void): void {
    this.#onLost = act
    if (this.#isLost) act()
  }

  /** The next packs to be judged, in their order. */
  async next(after: Position, limit: number): Promise<Judgeable[]> {
    const rows = await this.#rows<Row>(NEXT, [after.tx, after.id, limit])
    const found: { readonly row: Row; readonly readings: [number, number, number, number][] }[] = []
    const unknown = new Set<number>()
    for (const row of rows) {
      const readings: [number, number, number, number][] = []
      readPack(row.body, row.receivedMs, (channel, at, value, mark) => {
        readings.push([channel, at, value, mark])
        if (!this.#channels.has(channel)) unknown.add(channel)
      })
      found.push({ row, readings })
    }
    if (unknown.size > 0) await this.#learn([...unknown])
    return found.map(({ row, readings }) => ({
      position: { tx: row.tx, id: row.id },
      pack: {
        device: row.device,
        boot: row.boot,
        seq: row.seq,
        receivedAtMs: row.receivedMs,
        readings: readings.map(each => this.#reading(each)),
      },
    }))
  }

  /** When the first pack that waits to be judged was received, Unix ms; `null` when none waits. */
  async waiting(after: Position): Promise<number | null> {
    const rows = await this.#rows<{ receivedMs: number }>(
      `SELECT received_ms AS "receivedMs" FROM pack WHERE (tx, id) > ($1::xid8, $2::bigint) ORDER BY tx, id LIMIT 1`,
      [after.tx, after.id],
    )
    return rows[0]?.receivedMs ?? null
  }

  /** Shows no longer that it lives: it was let go of. */
  rest(): void {
    clearInterval(this.#beat)
  }

  lose(): void {
    this.rest()
    if (this.#isLost) return
    this.#isLost = true
    this.#onLost()
  }

  async #rows<R>(text: string, values: readonly unknown[]): Promise<R[]> {
    try {
      return await sqlOver(this.#client).rows<R>(text, values)
    } catch (error) {
      // No answer in time: what this process thinks it holds, another may.
      if (!isAnswer(error)) {
        this.lose()
        this.#drop()
      }
      throw error
    }
  }

  async #learn(ids: readonly number[]): Promise<void> {
    const text = 'SELECT id, name, unit FROM channel WHERE id = ANY ($1::integer[])'
    for (const { id, name, unit } of await this.#rows<{ id: number; name: string; unit: string }>(text, [
      ids,
    ]))
      this.#channels.set(id, { name, unit })
  }

  #reading([channel, atMs, value, mark]: [number, number, number, number]): Reading {
    const { name, unit } = this.#channels.get(channel) ?? { name: `${channel}`, unit: '' }
    return {
      channel: name,
      quantity: quantityOf(name) ?? Quantity.other,
      unit,
      value: isMissing(mark) ? null : value,
      quality: qualityOf(mark),
      atMs,
    }
  }
}
