import { createHash } from 'node:crypto'
import type { Logger } from 'pino'
import { z } from 'zod'
import type { PhotoRow } from '../../store/books-contract.ts'
import type { BatchRow, Store } from '../../store/contract.ts'
import type { Room } from '../contract.ts'
import { DiagnosingThread } from '../diagnosing/thread.ts'
import { openRoom } from '../room.ts'
import { HandoverError, Refusal } from './errors.ts'
import type { HandedOver } from './format.ts'
import { heldStore, type HeldStore } from './held-store.ts'
import { read } from './read.ts'
import { bytesOf } from './write.ts'

/** So many batches from elsewhere are kept, and so many bytes of them; further ones are refused. */
export const MOST_GUESTS = 200
export const ALL_GUESTS_BYTES = 256 * 1024 * 1024
/** So many are held open; the one that was asked for longest ago makes room. */
const MOST_OPEN = 3

const KIND = 'brought-in'
const documentOf = (id: string) => `${KIND}:${id}`

const Head = z.object({
  /** SHA-256 of what the file says, so that the same is recognised however it was packed. */
  digest: z.string(),
  bytes: z.number(),
  by: z.string(),
  writtenAt: z.string(),
  writtenBy: z.string(),
  names: z.boolean(),
  vessel: z.string(),
  startedAtMs: z.number(),
  endedAtMs: z.number().nullable(),
  litres: z.number(),
  cystsG: z.number(),
  salinityGpl: z.number(),
  lot: z.string().nullable(),
})

/** A batch that was brought in from elsewhere to be looked at: it stands beside the books, and nothing here hangs on it. */
export interface Guest extends z.infer<typeof Head> {
  /** Of the batch. */
  readonly id: string
  readonly broughtInAtMs: number
}

export type GuestStore = Pick<
  Store,
  'records' | 'keepRecord' | 'dropRecord' | 'document' | 'keepDocument' | 'batch'
>

export interface GuestParts {
  readonly store: GuestStore
  readonly clock: () => number
  readonly logger: Logger
  /** How many are kept; {@link MOST_GUESTS} when left out. */
  readonly most?: number
}

interface Open {
  readonly room: Room
  readonly store: HeldStore
}

/** Batches from elsewhere, each in a room of its own that holds nothing but what its file says. */
export class Guests {
  readonly #parts: GuestParts
  readonly #thread = new DiagnosingThread()
  readonly #open = new Map<string, Promise<Open>>()

  constructor(parts: GuestParts) {
    this.#parts = parts
  }

  /** The one brought in last first. */
  async list(): Promise<Guest[]> {
    const rows = await this.#parts.store.records(KIND)
    return rows
      .map(({ id, createdAtMs, json }) => ({
        id,
        broughtInAtMs: createdAtMs,
        ...Head.parse(JSON.parse(json)),
      }))
      .reverse()
  }

  async find(batchId: string): Promise<Guest | null> {
    return (await this.list()).find(({ id }) => id === batchId) ?? null
  }

  /** Keeps a file. The same once more changes nothing; another file of the same batch is refused, so that nothing is overwritten. */
  async bring(bytes: Uint8Array, by: string): Promise<{ readonly guest: Guest; readonly isNew: boolean }> {
    return this.bringFile(await read(bytes), by)
  }

  /** Keeps a file under an id of its own, beside the batch that it is of; the same copy once more changes nothing. */
  async bringCopy(
    bytes: Uint8Array,
    by: string,
  ): Promise<{ readonly guest: Guest; readonly isNew: boolean }> {
    const file = await read(bytes)
    const digest = createHash('sha256').update(JSON.stringify(file)).digest('hex')
    const id = `${file.batch.id.slice(0, 40)}-copy-${digest.slice(0, 8)}`
    return this.bringFile({ ...file, batch: { ...file.batch, id } }, by)
  }

  async bringFile(file: HandedOver, by: string): Promise<{ readonly guest: Guest; readonly isNew: boolean }> {
    const { store, clock, most = MOST_GUESTS } = this.#parts
    const { id } = file.batch
    const own = await store.batch(id)
    if (own) throw isOwn(own)
    const digest = createHash('sha256').update(JSON.stringify(file)).digest('hex')
    const all = await this.list()
    const known = all.find(guest => guest.id === id)
    if (known?.digest === digest) return { guest: known, isNew: false }
    if (known)
      throw new HandoverError(
        Refusal.known,
        `Cannot bring the batch in: it is here from a file of ${known.writtenAt.slice(0, 10)}; remove that first, or bring this in as a copy`,
        null,
        id,
      )
    const body = await bytesOf(file)
    const held = all.reduce((sum, { bytes }) => sum + bytes, 0)
    if (all.length >= most || held + body.byteLength > ALL_GUESTS_BYTES)
      throw new HandoverError(
        Refusal.full,
        `Cannot bring the batch in: ${most} from elsewhere are kept, of ${ALL_GUESTS_BYTES / 1024 / 1024} MiB together; remove one first`,
      )
    const { batch, vessel, written } = file
    const head: z.infer<typeof Head> = {
      digest,
      bytes: body.byteLength,
      by,
      writtenAt: written.at,
      writtenBy: written.by,
      names: written.names,
      vessel: vessel.name,
      startedAtMs: batch.startedAtMs,
      endedAtMs: batch.endedAtMs,
      litres: batch.litres,
      cystsG: batch.cystsG,
      salinityGpl: batch.salinityGpl,
      lot: batch.lot,
    }
    const nowMs = clock()
    // In one turn, so that both are kept or neither.
    await Promise.all([
      store.keepDocument(documentOf(id), JSON.stringify(Buffer.from(body).toString('base64'))),
      store.keepRecord({
        kind: KIND,
        id,
        createdAtMs: nowMs,
        changedAtMs: nowMs,
        endedAtMs: null,
        json: JSON.stringify(head),
      }),
    ])
    return { guest: { id, broughtInAtMs: nowMs, ...head }, isNew: true }
  }

  /** Resolves false when there is none. */
  async remove(batchId: string): Promise<boolean> {
    if (!(await this.find(batchId))) return false
    const { store } = this.#parts
    this.#open.delete(batchId)
    await Promise.all([
      store.dropRecord({ kind: KIND, id: batchId }),
      store.keepDocument(documentOf(batchId), 'null'),
    ])
    return true
  }

  /** The file as it was brought in; `null` when there is none. */
  file(batchId: string): Promise<Uint8Array | null> {
    return fileOf(this.#parts.store, batchId)
  }

  /** The room that a batch from elsewhere is alone in, at the moment at which its file was written; `null` when there is none. */
  async room(batchId: string): Promise<Room | null> {
    return (await this.#opened(batchId))?.room ?? null
  }

  /** A photo of one that is being looked at. */
  async photo(photoId: string): Promise<PhotoRow | null> {
    for (const { id } of await this.list()) {
      if (!this.#open.has(id)) continue
      const photo = await (await this.#opened(id))?.store.photo(photoId)
      if (photo) return photo
    }
    return null
  }

  async #opened(batchId: string): Promise<Open | null> {
    // Another process may have brought it in, or removed it.
    if (!(await this.find(batchId))) {
      this.#open.delete(batchId)
      return null
    }
    const open = this.#open.get(batchId) ?? this.#opening(batchId)
    this.#open.delete(batchId)
    this.#open.set(batchId, open)
    open.catch(() => this.#open.delete(batchId))
    for (const oldest of this.#open.keys()) {
      if (this.#open.size <= MOST_OPEN) break
      this.#open.delete(oldest)
    }
    return open
  }

  async #opening(batchId: string): Promise<Open> {
    const bytes = await this.file(batchId)
    if (bytes === null)
      throw new HandoverError(Refusal.malformed, 'Cannot open the batch: its file is gone; bring it in again')
    const file = await read(bytes)
    const store = await heldStore(file)
    const atMs = Math.max(Date.parse(file.written.at), file.batch.endedAtMs ?? file.batch.startedAtMs)
    let ids = 0
    const { room } = await openRoom({
      store,
      clock: () => atMs,
      newId: () => `guest-${ids++}`,
      logger: this.#parts.logger,
      diagnosingThread: this.#thread,
    })
    return { room, store }
  }
}

/** What the file of a batch from elsewhere holds, to be read alone; `null` when it is not here. */
export async function guestStore(store: Pick<Store, 'document'>, batchId: string): Promise<HeldStore | null> {
  const bytes = await fileOf(store, batchId)
  return bytes && heldStore(await read(bytes))
}

async function fileOf(store: Pick<Store, 'document'>, batchId: string): Promise<Uint8Array | null> {
  const json = await store.document(documentOf(batchId))
  const base64 = json === undefined ? null : (JSON.parse(json) as string | null)
  return base64 === null ? null : new Uint8Array(Buffer.from(base64, 'base64'))
}

export const isOwn = ({ id, startedAtMs, cystsG, lot }: BatchRow): HandoverError => {
  const which = `started ${new Date(startedAtMs).toISOString().slice(0, 16)}Z, ${cystsG} g of cysts${lot === null ? '' : ` of ${lot}`}`
  return new HandoverError(
    Refusal.known,
    `Cannot bring the batch in: it is one of this house's own, ${which}; look at that, or bring it in as a copy`,
    null,
    id,
  )
}
