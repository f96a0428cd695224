import { StoreError, StoreErrorCode } from '../contract.ts'

/** What PostgreSQL or the system calls an error: an SQLSTATE of five characters, or a name such as ECONNREFUSED. */
export function codeOf(error: unknown): string {
  return error instanceof Error && 'code' in error && typeof error.code === 'string' ? error.code : ''
}

/** The database was reached, and answered that it cannot do this. */
export function isAnswer(error: unknown): boolean {
  const code = codeOf(error)
  // Classes 08 and 57 of PostgreSQL's table A.1: the connection is lost, or the server ends.
  return /^[0-9A-Z]{5}$/.test(code) && !code.startsWith('08') && !code.startsWith('57P')
}

/** What is written is at fault (classes 22 and 23), and nothing that is written beside it. */
export function isOfTheData(error: unknown): boolean {
  return /^2[23][0-9A-Z]{3}$/.test(codeOf(error))
}

/** Another transaction stood in the way; the same will work when it is done again. */
export function isPassing(error: unknown): boolean {
  return ['40001', '40P01', '55P03'].includes(codeOf(error))
}

/** Names the kind of a failure and says what to do. A StoreError passes through. */
export function toStoreError(doing: string, error: unknown): StoreError {
  if (error instanceof StoreError) return error
  const { code, rule } = kindOf(codeOf(error))
  const detail = error instanceof Error ? error.message : String(error)
  return new StoreError(code, `Cannot ${doing}: ${rule} (${detail})`, { cause: error })
}

function kindOf(code: string): { code: StoreErrorCode; rule: string } {
  if (code === '53100') {
    return {
      code: StoreErrorCode.full,
      rule: 'there must be room on the database’s disk; free some, nothing needs restarting',
    }
  }
  if (code === '25006')
    return {
      code: StoreErrorCode.readOnly,
      rule: 'the database must be writable, and is read-only or a stand-by',
    }
  if (code === '42501')
    return {
      code: StoreErrorCode.readOnly,
      rule: 'the database user must own the schema, or have the right to create it',
    }
  if (code.startsWith('XX'))
    return {
      code: StoreErrorCode.corrupt,
      rule: 'the database is damaged; look at its log, and restore a backup',
    }
  if (code === '40P01' || code === '40001' || code === '55P03')
    return { code: StoreErrorCode.inUse, rule: 'another transaction is in the way; try again' }
  if (code.startsWith('28'))
    return { code: StoreErrorCode.failed, rule: 'the database must let this user in; look at --store-url' }
  if (code === '3D000')
    return {
      code: StoreErrorCode.failed,
      rule: 'the database must exist; make it with createdb, or name another in --store-url',
    }
  if (code === '' || !/^[0-9A-Z]{5}$/.test(code) || code.startsWith('08') || code.startsWith('57P'))
    return {
      code: StoreErrorCode.failed,
      rule: 'the database must be reached; it is tried again by itself',
    }
  return { code: StoreErrorCode.failed, rule: 'the database failed' }
}
