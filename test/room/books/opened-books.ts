import { openBooks } from '../../../broker/room/books/books.ts'
import type { Books } from '../../../broker/room/books/contract.ts'
import { HOUR, openTestRoom, type Opened } from '../opened.ts'

export { HOUR }
/** Who writes things down in these tests. */
/** A lot as it is written down. */
export const LOT = {
  name: 'spring',
  openedOn: null,
  keptIn: null,
  gramsBought: 50,
  bestBefore: null,
  note: null,
}
export const by = 'Ann'
export interface OpenedBooks {
  opened: Opened
  books: Books
  /** Closes the store as it is, and opens room and books anew on what is on disk. */
  again(): Promise<void>
  close(): Promise<void>
}

let ids = 0
export const booksOf = (opened: Opened): Books =>
  openBooks({
    store: opened.store,
    room: opened.room,
    clock: () => opened.nowMs,
    newId: () => `book-${ids++}`,
    logger: { error: details => expectNone(details) },
    remindAlso: opened.remindAlso,
  })

function expectNone(details: object): never {
  throw new Error(JSON.stringify(details))
}

export async function openTestBooks(): Promise<OpenedBooks> {
  const opened = await openTestRoom()
  const it: OpenedBooks = {
    opened,
    books: booksOf(opened),
    async again() {
      it.opened = await it.opened.reopen()
      it.books = booksOf(it.opened)
    },
    close: () => it.opened.close(),
  }
  return it
}

/** A vessel with a batch that was started so many hours ago. */
export async function vesselWithBatch(
  { room, ...opened }: Opened,
  hoursAgo: number,
  batch: { cystsG?: number; lot?: string; litres?: number } = {},
) {
  const vessel = await room.createVessel({ name: `Cone ${ids++}`, litres: 2 })
  const row = await room.startBatch({
    vesselId: vessel.row.id,
    startedAtMs: opened.nowMs - hoursAgo * HOUR,
    litres: 1,
    cystsG: 2,
    salinityGpl: 25,
    ...batch,
  })
  return { vesselId: vessel.row.id, batchId: row.id }
}
