import { createHash } from 'node:crypto'
import pino from 'pino'
import type { Room } from '../contract.ts'
import { DiagnosingThread } from '../diagnosing/thread.ts'
import { openRoom } from '../room.ts'
import type { HandoverDesk, Look, Looked, ToKeep, Written } from './desk.ts'
import { HandoverError, Refusal } from './errors.ts'
import type { HandedOver } from './format.ts'
import type { Gathered } from './gather.ts'
import { heldStore, type HeldStore } from './held-store.ts'
import { read } from './read.ts'
import { type Unpacked, unpacked } from './unpacked.ts'
import { bytesOf, fileName, written } from './write.ts'

/** So many are held open, and so many readings of them (17 bytes each); the one that was asked for longest ago makes room. */
const MOST_OPEN = 40
const MOST_READINGS_OPEN = 6_000_000

interface Open {
  readonly room: Room
  readonly store: HeldStore
}

/** Does it all on the thread that it is on: for commands, and for the thread that the service has for it. */
export class LocalDesk implements HandoverDesk {
  readonly #thread = new DiagnosingThread()
  readonly #open = new Map<string, Promise<Open>>()

  async toKeep(bytes: Uint8Array, asCopy: boolean): Promise<ToKeep> {
    const read_ = await read(bytes)
    const file = asCopy ? underAnotherId(read_) : read_
    const { batch, vessel, written } = file
    const body = await bytesOf(file)
    return {
      id: batch.id,
      head: {
        digest: digestOf(file),
        bytes: body.byteLength,
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
      },
      document: new TextEncoder().encode(`"${Buffer.from(body).toString('base64')}"`),
    }
  }

  async unpack(bytes: Uint8Array): Promise<Unpacked> {
    return unpacked(await read(bytes))
  }

  async look({ key, what, args, document }: Look): Promise<Looked> {
    const open = this.#open.get(key) ?? (document === null ? null : opened(document, this.#thread))
    if (open === null) return { isOpen: false }
    this.#open.delete(key)
    this.#open.set(key, open)
    open.catch(() => this.#open.delete(key))
    const { room, store } = await open
    await this.#makeRoom()
    const asked = { ...room, photo: (id: string) => store.photo(id) } as Record<Look['what'], unknown>
    const ask = asked[what] as (...args: readonly unknown[]) => Promise<unknown>
    return { isOpen: true, answer: await ask(...args), photoIds: store.photoIds }
  }

  async write(gathered: Gathered): Promise<Written> {
    const file = written(gathered)
    return { name: fileName(file), bytes: await bytesOf(file) }
  }

  close(): Promise<void> {
    return this.#thread.close()
  }

  async #makeRoom(): Promise<void> {
    let readings = 0
    for (const [at, [key, open]] of [...this.#open].reverse().entries()) {
      readings += await open.then(({ store }) => store.readings).catch(() => 0)
      if (at > 0 && (at >= MOST_OPEN || readings > MOST_READINGS_OPEN)) this.#open.delete(key)
    }
  }
}

const digestOf = (file: HandedOver) => createHash('sha256').update(JSON.stringify(file)).digest('hex')

/** The same for the same file. */
function underAnotherId(file: HandedOver): HandedOver {
  const id = `${file.batch.id.slice(0, 40)}-copy-${digestOf(file).slice(0, 8)}`
  return { ...file, batch: { ...file.batch, id } }
}

async function opened(document: string, diagnosingThread: DiagnosingThread): Promise<Open> {
  const bytes = fileIn(document)
  if (bytes === null)
    throw new HandoverError(Refusal.malformed, 'Cannot open the batch: its file is gone; bring it in again')
  const file = await read(bytes)
  const store = await heldStore(file)
  const atMs = nowIn(file.written.at, file.batch)
  let ids = 0
  const { room } = await openRoom({
    store,
    clock: () => atMs,
    newId: () => `guest-${ids++}`,
    logger: pino({ level: 'silent' }),
    diagnosingThread,
  })
  return { room, store }
}

/** The file that a kept document holds; `null` where it was removed. */
export function fileIn(document: string): Uint8Array<ArrayBuffer> | null {
  return document.startsWith('"') ? new Uint8Array(Buffer.from(document.slice(1, -1), 'base64')) : null
}

/** The moment that the room of a batch from elsewhere stands at: when its file was written, Unix ms. */
export function nowIn(
  writtenAt: string,
  { startedAtMs, endedAtMs }: { readonly startedAtMs: number; readonly endedAtMs: number | null },
): number {
  return Math.max(Date.parse(writtenAt), endedAtMs ?? startedAtMs)
}
