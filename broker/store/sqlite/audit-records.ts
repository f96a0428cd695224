import type { AuditRow } from '../contract.ts'
import { MOST_DONE, MOST_FAILED } from '../limits.ts'
import type { Db } from './database.ts'

type Columns = Omit<AuditRow, 'failed'> & { readonly failed: number }

/** The audit log: lines are added, and the oldest go. */
export class AuditRecords {
  readonly #keep
  readonly #dropOldest
  readonly #list

  constructor(db: Db) {
    this.#keep = db.prepare<[Omit<Columns, 'id'>]>(
      `INSERT INTO audit (at_ms, act, subject, who, role, address, failed)
       VALUES (@atMs, @act, @subject, @who, @role, @address, @failed)`,
    )
    this.#dropOldest = db.prepare<[number, number, number]>(
      `DELETE FROM audit WHERE failed = ? AND id <=
         (SELECT id FROM audit WHERE failed = ? ORDER BY id DESC LIMIT 1 OFFSET ?)`,
    )
    this.#list = db.prepare<[number, number], Columns>(
      `SELECT id, at_ms AS atMs, act, subject, who, role, address, failed FROM audit
       WHERE id < ? ORDER BY id DESC LIMIT ?`,
    )
  }

  keep(line: Omit<AuditRow, 'id'>): void {
    const failed = Number(line.failed)
    this.#keep.run({ ...line, failed })
    this.#dropOldest.run(failed, failed, line.failed ? MOST_FAILED : MOST_DONE)
  }

  list(limit: number, beforeId = Number.MAX_SAFE_INTEGER): AuditRow[] {
    return this.#list.all(beforeId, limit).map(row => ({ ...row, failed: row.failed === 1 }))
  }
}
