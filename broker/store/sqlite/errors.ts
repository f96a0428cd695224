import { StoreError, StoreErrorCode } from '../contract.ts'

interface SqliteFailure extends Error {
  readonly code: string
}

function isSqliteFailure(error: unknown): error is SqliteFailure {
  return error instanceof Error && 'code' in error && typeof error.code === 'string'
}

/** Names the kind of a failure and says what to do. A StoreError passes through. */
export function toStoreError(doing: string, error: unknown): StoreError {
  if (error instanceof StoreError) return error
  const { code, rule } = isSqliteFailure(error) ? kindOf(error.code) : unknown
  const detail = error instanceof Error ? error.message : String(error)
  return new StoreError(code, `Cannot ${doing}: ${rule} (${detail})`, { cause: error })
}

const unknown = { code: StoreErrorCode.failed, rule: 'the database failed' }

function kindOf(sqliteCode: string): { code: StoreErrorCode; rule: string } {
  if (sqliteCode === 'SQLITE_FULL') {
    return {
      code: StoreErrorCode.full,
      rule: 'there must be room on the disk; free some, nothing needs restarting',
    }
  }
  if (sqliteCode.startsWith('SQLITE_READONLY') || sqliteCode === 'SQLITE_PERM') {
    return { code: StoreErrorCode.readOnly, rule: 'the data directory must be writable' }
  }
  if (sqliteCode.startsWith('SQLITE_CORRUPT') || sqliteCode === 'SQLITE_NOTADB') {
    return { code: StoreErrorCode.corrupt, rule: 'the database file is damaged; restore a backup' }
  }
  if (sqliteCode.startsWith('SQLITE_BUSY') || sqliteCode.startsWith('SQLITE_LOCKED')) {
    return { code: StoreErrorCode.inUse, rule: 'another process holds the database; try again' }
  }
  if (sqliteCode.startsWith('SQLITE_IOERR')) {
    return { code: StoreErrorCode.failed, rule: 'the disk must take and give what is written; check it' }
  }
  if (sqliteCode.startsWith('SQLITE_CANTOPEN')) {
    return { code: StoreErrorCode.failed, rule: 'the database file must exist and be readable' }
  }
  return unknown
}
