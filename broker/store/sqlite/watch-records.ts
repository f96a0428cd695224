import type { WatchKind, WatchQuery, WatchRow } from '../contract.ts'
import { MOST_WATCH_ROWS, WATCH_LOOK_EVERY } from '../limits.ts'
import type { Db } from './database.ts'

const COLUMNS = 'kind, at_ms AS atMs, vessel AS vesselId, alarm AS alarmId, json'
const SPAN =
  'at_ms >= @fromMs AND at_ms < @toMs AND (@kinds IS NULL OR kind IN (SELECT value FROM json_each(@kinds)))'

interface Bound {
  readonly fromMs: number
  readonly toMs: number
  readonly kinds: string | null
  readonly limit: number
}

/** The log of the watch. */
export class WatchRecords {
  readonly #keep
  readonly #oldest
  readonly #newest
  readonly #dropBefore
  readonly #dropMost

  constructor(db: Db) {
    this.#keep = db.prepare<[WatchRow]>(
      'INSERT INTO watch_log (kind, at_ms, vessel, alarm, json) VALUES (@kind, @atMs, @vesselId, @alarmId, @json)',
    )
    this.#oldest = db.prepare<[Bound], WatchRow>(
      `SELECT ${COLUMNS} FROM watch_log WHERE ${SPAN} ORDER BY at_ms, id LIMIT @limit`,
    )
    this.#newest = db.prepare<[Bound], WatchRow>(
      `SELECT ${COLUMNS} FROM watch_log WHERE ${SPAN} ORDER BY at_ms DESC, id DESC LIMIT @limit`,
    )
    this.#dropBefore = db.prepare<[number]>('DELETE FROM watch_log WHERE at_ms < ?')
    this.#dropMost = db.prepare<[number]>('DELETE FROM watch_log WHERE id <= ?')
  }

  keep(row: WatchRow): void {
    const id = Number(this.#keep.run(row).lastInsertRowid)
    if (id % WATCH_LOOK_EVERY === 0) this.#dropMost.run(id - MOST_WATCH_ROWS)
  }

  list({ fromMs, toMs, kinds, limit, newest = false }: WatchQuery): WatchRow[] {
    const bound = {
      fromMs,
      toMs,
      kinds: kinds ? JSON.stringify(kinds satisfies readonly WatchKind[]) : null,
      limit,
    }
    return newest ? this.#newest.all(bound).reverse() : this.#oldest.all(bound)
  }

  dropBefore(ms: number): void {
    this.#dropBefore.run(ms)
  }
}
