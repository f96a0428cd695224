import type { Clock } from '../../clock.ts'
import type { EntryRow, RecordRow } from '../../store/books-contract.ts'
import type { Store } from '../../store/contract.ts'
import { RoomError, RoomErrorKind, type Room } from '../contract.ts'
import { CLOCK_SLACK_MS } from '../moments.ts'

/** What the books stand on. */
export interface BookParts {
  readonly store: Store
  readonly room: Room
  readonly clock: Clock
  readonly newId: () => string
  /** Something in the books has changed. */
  readonly changed: () => void
}

export const notFound = (what: string, id: string): RoomError =>
  new RoomError(RoomErrorKind.notFound, `Cannot find ${what}: there is none with the id ${id}`)

export const invalid = (message: string, field: string | null = null): RoomError =>
  new RoomError(RoomErrorKind.invalid, message, field)

export const conflict = (message: string, field: string | null = null): RoomError =>
  new RoomError(RoomErrorKind.conflict, message, field)

/** The moment that was said, which may not lie ahead; now where none was. */
export function saidMoment(what: string, atMs: number | undefined, nowMs: number): number {
  if (atMs !== undefined && atMs > nowMs + CLOCK_SLACK_MS)
    throw invalid(`Cannot ${what}: its time lies in the future`, 'at')
  return Math.min(atMs ?? nowMs, nowMs)
}

/** Keeps what a record was before it is changed, so that nothing that was entered is lost. */
export async function keepChanged(
  { store, clock, newId }: BookParts,
  before: RecordRow,
  after: RecordRow,
  by: string,
): Promise<void> {
  const nowMs = clock()
  const line: EntryRow = {
    id: newId(),
    book: 'change',
    subject: `${before.kind}:${before.id}`,
    atMs: nowMs,
    recordedAtMs: nowMs,
    by,
    json: before.json,
    withdrawnAtMs: null,
  }
  // In one turn, so that both are kept or neither.
  await Promise.all([store.keepEntry(line), store.keepRecord(after)])
}
