import type { DeliveryRow, TellingRow } from '../contract.ts'
import { MOST_DELIVERED } from '../limits.ts'
import type { Db } from './database.ts'

const COLUMNS = `id, alarm AS alarmId, person AS personId, channel, created_ms AS createdAtMs, state, attempts,
  next_ms AS nextAtMs, done_ms AS doneAtMs, error, json`

/** What people are to be told, and of which standing alarms they were. */
export class DeliveryRecords {
  readonly #keep
  readonly #dropDone
  readonly #waiting
  readonly #newest
  readonly #keepTelling
  readonly #forgetTelling
  readonly #tellings

  constructor(db: Db) {
    this.#keep = db.prepare<[DeliveryRow]>(
      `INSERT INTO delivery (id, alarm, person, channel, created_ms, state, attempts, next_ms, done_ms, error, json)
       VALUES (@id, @alarmId, @personId, @channel, @createdAtMs, @state, @attempts, @nextAtMs, @doneAtMs, @error, @json)
       ON CONFLICT (id) DO UPDATE SET state = excluded.state, attempts = excluded.attempts, next_ms = excluded.next_ms,
         done_ms = excluded.done_ms, error = excluded.error, json = excluded.json`,
    )
    this.#dropDone = db.prepare<[number]>(
      `DELETE FROM delivery WHERE rowid IN (
         SELECT rowid FROM delivery WHERE done_ms IS NOT NULL ORDER BY done_ms DESC, rowid DESC LIMIT -1 OFFSET ?)`,
    )
    this.#waiting = db.prepare<[], DeliveryRow>(
      `SELECT ${COLUMNS} FROM delivery WHERE done_ms IS NULL ORDER BY created_ms, rowid`,
    )
    this.#newest = db.prepare<[number], DeliveryRow>(
      `SELECT ${COLUMNS} FROM delivery ORDER BY rowid DESC LIMIT ?`,
    )
    this.#keepTelling = db.prepare<[TellingRow]>(
      'INSERT INTO telling (alarm, json) VALUES (@alarmId, @json) ON CONFLICT (alarm) DO UPDATE SET json = excluded.json',
    )
    this.#forgetTelling = db.prepare<[string]>('DELETE FROM telling WHERE alarm = ?')
    this.#tellings = db.prepare<[], TellingRow>('SELECT alarm AS alarmId, json FROM telling ORDER BY alarm')
  }

  keep(delivery: DeliveryRow): void {
    this.#keep.run(delivery)
    if (delivery.doneAtMs !== null) this.#dropDone.run(MOST_DELIVERED)
  }

  waiting(): DeliveryRow[] {
    return this.#waiting.all()
  }

  /** Newest first. */
  newest(limit: number): DeliveryRow[] {
    return this.#newest.all(limit)
  }

  keepTelling({ alarmId, json }: { alarmId: string; json: string | null }): void {
    if (json === null) this.#forgetTelling.run(alarmId)
    else this.#keepTelling.run({ alarmId, json })
  }

  tellings(): TellingRow[] {
    return this.#tellings.all()
  }
}
