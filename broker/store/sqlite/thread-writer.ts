import { MessageChannel, type MessagePort, receiveMessageOnPort, type Worker } from 'node:worker_threads'
import { StoreErrorCode } from '../contract.ts'
import { startThread } from '../../thread.ts'
import type { Db } from './database.ts'
import { isOnDisk, proves } from './evidence.ts'
import { toStoreError } from './errors.ts'
import type { StoreLogger } from '../logger.ts'
import type { Outcome } from '../outcome.ts'
import type { Writer } from './writer.ts'
import type { Work } from './writes.ts'
import type { WritingOrder } from './writing-worker.ts'

/** The first time it is started again at once; when it then ends before it has done anything, after so long, ms. */
const AGAIN_MS = 1000
/** So many deaths on end are no accident any more: the service itself is to be started again. */
const MOST_DEATHS = 3

interface Group {
  readonly doing: string
  readonly works: readonly Work[]
  readonly ended: (outcome: Outcome) => void
}

interface Thread {
  readonly worker: Worker
  readonly port: MessagePort
}

/**
 * Writes on a thread with its own connection, so that the event loop never waits for the disk. A thread that ends, of too little
 * memory or a fault, is started again; whether the group that was under way is on disk is looked up in the file. Should it end
 * {@link MOST_DEATHS} times on end, `lives` is false, and it is still tried each second.
 */
export class ThreadWriter implements Writer {
  readonly overlaps = true
  readonly #file: string
  /** Reads the file. */
  readonly #db: Db
  readonly #logger: StoreLogger
  #thread: Thread | null
  #group: Group | null = null
  #limitBytes: number | null = null
  /** Since a group was written. */
  #deaths = 0
  #again: NodeJS.Timeout | null = null
  #closed = false

  constructor(file: string, db: Db, logger: StoreLogger) {
    this.#file = file
    this.#db = db
    this.#logger = logger
    this.#thread = this.#start()
  }

  get lives(): boolean {
    return this.#deaths < MOST_DEATHS
  }

  write(doing: string, works: readonly Work[], ended: (outcome: Outcome) => void): void {
    if (this.#thread === null) return ended(failed(doing, 'it is being started again; nothing needs doing'))
    this.#group = { doing, works, ended }
    this.#thread.port.ref()
    const transfer: ArrayBuffer[] = []
    for (const { kind, what } of works) if (kind === 'frame') transfer.push(what.body.buffer as ArrayBuffer)
    this.#thread.port.postMessage({ kind: 'write', doing, works } satisfies WritingOrder, transfer)
  }

  poll(): void {
    if (this.#thread === null) return
    const come = receiveMessageOnPort(this.#thread.port) as { message: Outcome } | undefined
    if (come !== undefined) this.#end(come.message)
  }

  limitBytes(bytes: number): void {
    this.#limitBytes = bytes
    this.#thread?.port.postMessage({ kind: 'limitBytes', bytes } satisfies WritingOrder)
  }

  async close(): Promise<void> {
    this.#closed = true
    if (this.#again !== null) clearTimeout(this.#again)
    if (this.#thread === null) return
    const { worker, port } = this.#thread
    const exit = new Promise<void>(resolve => worker.once('exit', () => resolve()))
    worker.ref()
    port.postMessage({ kind: 'close' } satisfies WritingOrder)
    await exit
    port.close()
  }

  #start(): Thread {
    const { port1: port, port2 } = new MessageChannel()
    const worker = startThread('writing-worker', import.meta.url, {
      workerData: { file: this.#file, port: port2 },
      transferList: [port2],
      name: 'writing',
    })
    let why = 'it ended'
    port.on('message', (outcome: Outcome) => this.#end(outcome))
    worker.on('error', (error: unknown) => (why = error instanceof Error ? error.message : String(error)))
    // Not before its connection is closed, and so what it had not committed taken back.
    worker.once('exit', () => this.#lose(why))
    // An idle writer does not keep the process running.
    worker.unref()
    port.unref()
    return { worker, port }
  }

  #end(outcome: Outcome): void {
    this.#deaths = 0
    this.#thread?.port.unref()
    const group = this.#group
    this.#group = null
    group?.ended(outcome)
  }

  #lose(why: string): void {
    if (this.#closed) return
    // Its last word may be on the way.
    this.poll()
    this.#thread?.port.close()
    this.#thread = null
    this.#deaths++
    this.#logger.error({ why, deaths: this.#deaths }, 'the thread that writes ended; it is started again')
    if (this.#deaths === 1) this.#thread = this.#startLimited()
    else {
      this.#again = setTimeout(() => (this.#thread = this.#startLimited()), AGAIN_MS)
      this.#again.unref()
    }
    const group = this.#group
    this.#group = null
    group?.ended(this.#fateOf(group, why))
  }

  #startLimited(): Thread {
    const thread = this.#start()
    const bytes = this.#limitBytes
    if (bytes !== null) thread.port.postMessage({ kind: 'limitBytes', bytes } satisfies WritingOrder)
    return thread
  }

  /** What became of a group whose writer ended before it could say so. What was answered to single works is lost with it. */
  #fateOf({ doing, works }: Group, why: string): Outcome {
    try {
      if (!isOnDisk(this.#db, works))
        return failed(doing, `it must not end while it writes (${why}); try again`)
      const { code, message } = failed(
        doing,
        `it ended before it could say what it did (${why}); look`,
      ).failure!
      const refused = works.flatMap((work, index) => (proves(work) ? [] : [{ index, code, message }]))
      return { failure: null, answers: [], refused }
    } catch (error) {
      const { code, message } = toStoreError(doing, error)
      return { failure: { code, message }, answers: [], refused: [] }
    }
  }
}

function failed(doing: string, rule: string): Outcome {
  const message = `Cannot ${doing}: the writing thread must run; ${rule}`
  return { failure: { code: StoreErrorCode.failed, message }, answers: [], refused: [] }
}
