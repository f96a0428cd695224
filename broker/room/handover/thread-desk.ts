import { RestingThread } from '../../resting-thread.ts'
import type { HandoverDesk, Look, Looked, ToKeep, Written } from './desk.ts'
import { HandoverError, Refusal } from './errors.ts'
import { buffersOfGathered, type Gathered } from './gather.ts'
import { errorOf } from './told-error.ts'
import type { Unpacked } from './unpacked.ts'
import type { FromThread, ToThread, Work } from './worker.ts'

/** What it may take of the memory, MB: a file of 64 MiB takes 700 while it is read. One that takes more ends the thread, not the service. */
const MOST_MB = 1024
/** Files that may be under way or wait, each of up to 24 MiB; further ones are refused. */
const MOST_FILES = 4
/** Looks that may be. */
const MOST_LOOKS = 256
/** Without work for so long it ends and gives its memory back, ms. What was open is opened again when it is looked at. */
const IDLE_MS = 5 * 60_000

interface Asked {
  readonly work: Work
  readonly resolve: (answer: never) => void
  readonly reject: (error: Error) => void
}

/** Reads, looks into and writes files of batches on a thread of its own: neither an alarm nor a reading waits for one. */
export class ThreadDesk implements HandoverDesk {
  readonly #asked = new Map<number, Asked>()
  readonly #thread: RestingThread<ToThread, FromThread>
  #nextId = 0

  constructor() {
    this.#thread = new RestingThread({
      name: 'batch files',
      beside: import.meta.url,
      mostMb: MOST_MB,
      idleMs: IDLE_MS,
      onMessage: message => this.#take(message),
      onGone: why => {
        const rule = `the thread that does it ended: ${why}. The file may be too large for this machine`
        for (const { reject } of this.#asked.values())
          reject(new HandoverError(Refusal.tooLarge, `Cannot read or write the batch: ${rule}`))
        this.#asked.clear()
      },
    })
  }

  toKeep(bytes: Uint8Array, asCopy: boolean): Promise<ToKeep> {
    return this.#ask('toKeep', [bytes, asCopy])
  }

  unpack(bytes: Uint8Array): Promise<Unpacked> {
    return this.#ask('unpack', [bytes])
  }

  look(look: Look): Promise<Looked> {
    return this.#ask('look', [look])
  }

  write(gathered: Gathered): Promise<Written> {
    return this.#ask('write', [gathered], buffersOfGathered(gathered))
  }

  async close(): Promise<void> {
    await this.#thread.close()
    for (const { reject } of this.#asked.values())
      reject(new HandoverError(Refusal.busy, 'Cannot read or write the batch: the service is stopping'))
    this.#asked.clear()
  }

  #ask<T>(work: Work, args: readonly unknown[], moved: ArrayBuffer[] = []): Promise<T> {
    const isFile = (one: Work) => one !== 'look'
    const waiting = [...this.#asked.values()].filter(one => isFile(one.work) === isFile(work)).length
    if (waiting >= (isFile(work) ? MOST_FILES : MOST_LOOKS)) {
      const rule = 'several others are being read or written; try again in a minute'
      return Promise.reject(new HandoverError(Refusal.busy, `Cannot read or write the batch: ${rule}`))
    }
    const id = this.#nextId++
    return new Promise<T>((resolve, reject) => {
      this.#asked.set(id, { work, resolve, reject })
      this.#thread.give({ id, work, args }, moved)
    })
  }

  #take(message: FromThread): void {
    const asked = this.#asked.get(message.id)
    this.#asked.delete(message.id)
    if (this.#asked.size === 0) this.#thread.rest()
    if (message.ok) asked?.resolve(message.answer as never)
    else asked?.reject(errorOf(message.error))
  }
}
