import type { PhotoRow } from '../../store/books-contract.ts'
import type { BatchRow, Store } from '../../store/contract.ts'
import { Head, type HandoverDesk, type Look, LOOKS, type LookedAt, type LookedAtPhoto } from './desk.ts'
import { HandoverError, Refusal } from './errors.ts'
import { heldStore, type HeldStore } from './held-store.ts'
import { fileIn, LocalDesk, nowIn } from './local-desk.ts'
import { read } from './read.ts'

/** So many batches from elsewhere are kept, and so many bytes of them; further ones are refused. */
export const MOST_GUESTS = 200
export const ALL_GUESTS_BYTES = 256 * 1024 * 1024

/** Photos whose batch is remembered: as many as the batches may have. */
const MOST_PHOTOS = MOST_GUESTS * 12

const KIND = 'brought-in'
const documentOf = (id: string) => `${KIND}:${id}`

/** A batch that was brought in from elsewhere to be looked at: it stands beside the books, and nothing here hangs on it. */
export interface Guest extends Head {
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
  /** Where the files are read; on the caller's own thread when left out. */
  readonly desk?: HandoverDesk
  /** How many are kept; {@link MOST_GUESTS} when left out. */
  readonly most?: number
}

interface Brought {
  readonly guest: Guest
  readonly isNew: boolean
}

/** Batches from elsewhere, each in a room of its own that holds nothing but what its file says. */
export class Guests {
  readonly #parts: GuestParts
  readonly #desk: HandoverDesk
  /** Whose photos they are, of those that were looked at. */
  readonly #ofPhoto = new Map<string, string>()

  constructor(parts: GuestParts) {
    this.#parts = parts
    this.#desk = parts.desk ?? new LocalDesk()
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
  bring(bytes: Uint8Array, by: string): Promise<Brought> {
    return this.#keep(bytes, false, by)
  }

  /** Keeps a file under an id of its own, beside the batch that it is of; the same copy once more changes nothing. */
  bringCopy(bytes: Uint8Array, by: string): Promise<Brought> {
    return this.#keep(bytes, true, by)
  }

  async #keep(bytes: Uint8Array, asCopy: boolean, by: string): Promise<Brought> {
    const { store, clock, most = MOST_GUESTS } = this.#parts
    const { id, head, document } = await this.#desk.toKeep(bytes, asCopy)
    const own = await store.batch(id)
    if (own) throw isOwn(own)
    const all = await this.list()
    const known = all.find(guest => guest.id === id)
    if (known?.digest === head.digest) return { guest: known, isNew: false }
    if (known)
      throw new HandoverError(
        Refusal.known,
        `Cannot bring the batch in: it is here from a file of ${known.writtenAt.slice(0, 10)}; remove that first, or bring this in as a copy`,
        null,
        id,
      )
    const held = all.reduce((sum, { bytes }) => sum + bytes, 0)
    if (all.length >= most || held + head.bytes > ALL_GUESTS_BYTES)
      throw new HandoverError(
        Refusal.full,
        `Cannot bring the batch in: ${most} from elsewhere are kept, of ${ALL_GUESTS_BYTES / 1024 / 1024} MiB together; remove one first`,
      )
    const kept = { ...head, by }
    const nowMs = clock()
    // In one turn, so that both are kept or neither.
    await Promise.all([
      store.keepDocument(documentOf(id), asciiOf(document)),
      store.keepRecord({
        kind: KIND,
        id,
        createdAtMs: nowMs,
        changedAtMs: nowMs,
        endedAtMs: null,
        json: JSON.stringify(kept),
      }),
    ])
    return { guest: { id, broughtInAtMs: nowMs, ...kept }, isNew: true }
  }

  /** Resolves false when there is none. */
  async remove(batchId: string): Promise<boolean> {
    if (!(await this.find(batchId))) return false
    const { store } = this.#parts
    await Promise.all([
      store.dropRecord({ kind: KIND, id: batchId }),
      store.keepDocument(documentOf(batchId), 'null'),
    ])
    return true
  }

  /** The file as it was brought in; `null` when there is none. */
  file(batchId: string): Promise<Uint8Array<ArrayBuffer> | null> {
    return fileOf(this.#parts.store, batchId)
  }

  /** The room that a batch from elsewhere is alone in, at the moment at which its file was written; `null` when there is none. */
  async room(batchId: string): Promise<LookedAt | null> {
    // Another process may have brought it in, or removed it.
    const guest = await this.find(batchId)
    if (!guest) return null
    const nowMs = nowIn(guest.writtenAt, guest)
    const looks = LOOKS.map(what => [what, (...args: unknown[]) => this.#look(guest, what, args)])
    return { ...Object.fromEntries(looks), snapshot: () => ({ nowMs }) } as LookedAt
  }

  /** A photo of one that was looked at. */
  async photo(photoId: string): Promise<PhotoRow | null> {
    const of = this.#ofPhoto.get(photoId)
    const guest = of === undefined ? null : await this.find(of)
    return guest && (((await this.#look(guest, 'photo', [photoId])) as LookedAtPhoto) ?? null)
  }

  /** Ends what it has begun. */
  close(): Promise<void> {
    return this.#desk.close()
  }

  async #look({ id, digest }: Guest, what: Look['what'], args: readonly unknown[]): Promise<unknown> {
    const look = { key: `${id} ${digest}`, what, args }
    let looked = await this.#desk.look({ ...look, document: null })
    if (!looked.isOpen) {
      const document = (await this.#parts.store.document(documentOf(id))) ?? 'null'
      looked = await this.#desk.look({ ...look, document })
    }
    if (!looked.isOpen) return undefined
    for (const photoId of looked.photoIds) this.#ofPhoto.set(photoId, id)
    for (const oldest of this.#ofPhoto.keys()) {
      if (this.#ofPhoto.size <= MOST_PHOTOS) break
      this.#ofPhoto.delete(oldest)
    }
    return looked.answer
  }
}

/** What the file of a batch from elsewhere holds, to be read alone; `null` when it is not here. */
export async function guestStore(store: Pick<Store, 'document'>, batchId: string): Promise<HeldStore | null> {
  const bytes = await fileOf(store, batchId)
  return bytes && heldStore(await read(bytes))
}

async function fileOf(
  store: Pick<Store, 'document'>,
  batchId: string,
): Promise<Uint8Array<ArrayBuffer> | null> {
  const json = await store.document(documentOf(batchId))
  return json === undefined ? null : fileIn(json)
}

const asciiOf = ({ buffer, byteOffset, byteLength }: Uint8Array<ArrayBuffer>) =>
  Buffer.from(buffer, byteOffset, byteLength).toString('latin1')

export const isOwn = ({ id, startedAtMs, cystsG, lot }: BatchRow): HandoverError => {
  const which = `started ${new Date(startedAtMs).toISOString().slice(0, 16)}Z, ${cystsG} g of cysts${lot === null ? '' : ` of ${lot}`}`
  return new HandoverError(
    Refusal.known,
    `Cannot bring the batch in: it is one of this house's own, ${which}; look at that, or bring it in as a copy`,
    null,
    id,
  )
}
