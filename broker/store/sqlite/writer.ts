import { MessageChannel, type MessagePort, receiveMessageOnPort, type Worker } from 'node:worker_threads'
import { StoreErrorCode } from '../contract.ts'
import type { Db } from './database.ts'
import { startThread } from '../../thread.ts'
import { type Outcome, Transactions } from './transactions.ts'
import type { Work } from './writes.ts'
import type { WritingOrder } from './writing-worker.ts'

/** The one place that writes to the file, a group at a time. */
export interface Writer {
  /** Whether others can go on while a group is written. */
  readonly overlaps: boolean
  /** Begins a group, the one before having ended. `ended` is called once, before this returns if nothing overlaps. */
  write(doing: string, works: readonly Work[], ended: (outcome: Outcome) => void): void
  /** Tells at once of a group that has ended meanwhile, instead of with the event loop's next turn. */
  poll(): void
  limitBytes(bytes: number): void
  /** False once it has died: nothing more can be kept then before the file is opened anew. */
  readonly lives: boolean
  /** Ends it; nothing may be under way. */
  close(): Promise<void>
}

/** On the caller's own thread, which waits for the disk: for a short command. */
export class InlineWriter implements Writer {
  readonly overlaps = false
  readonly lives = true
  readonly #transactions: Transactions

  constructor(db: Db) {
    this.#transactions = new Transactions(db)
  }

  write(doing: string, works: readonly Work[], ended: (outcome: Outcome) => void): void {
    ended(this.#transactions.run(doing, works))
  }

  poll(): void {}

  limitBytes(bytes: number): void {
    this.#transactions.limitBytes(bytes)
  }

  async close(): Promise<void> {}
}

/** A group's data come as one buffer beside the heap, so that a small one serves. */
const YOUNG_MB = 8

/** On a thread with its own connection, so that the event loop never waits for the disk. */
export class ThreadWriter implements Writer {
  readonly overlaps = true
  readonly #worker: Worker
  readonly #port: MessagePort
  #ended: ((outcome: Outcome) => void) | null = null
  #gone: string | null = null

  constructor(file: string) {
    const { port1, port2 } = new MessageChannel()
    this.#port = port1
    this.#worker = startThread('writing-worker', import.meta.url, {
      workerData: { file, port: port2 },
      transferList: [port2],
      resourceLimits: { maxYoungGenerationSizeMb: YOUNG_MB },
      name: 'writing',
    })
    port1.on('message', (outcome: Outcome) => this.#end(outcome))
    this.#worker.on('error', error => this.#lose(error.message))
    this.#worker.on('exit', () => this.#lose('it ended'))
    // An idle writer does not keep the process running.
    this.#worker.unref()
    port1.unref()
  }

  get lives(): boolean {
    return this.#gone === null
  }

  write(doing: string, works: readonly Work[], ended: (outcome: Outcome) => void): void {
    this.#ended = ended
    if (this.#gone !== null) return this.#lose(this.#gone)
    this.#port.ref()
    const transfer: ArrayBuffer[] = []
    for (const { kind, what } of works) if (kind === 'frame') transfer.push(what.body.buffer as ArrayBuffer)
    this.#port.postMessage({ kind: 'write', doing, works } satisfies WritingOrder, transfer)
  }

  poll(): void {
    const come = receiveMessageOnPort(this.#port) as { message: Outcome } | undefined
    if (come !== undefined) this.#end(come.message)
  }

  limitBytes(bytes: number): void {
    this.#port.postMessage({ kind: 'limitBytes', bytes } satisfies WritingOrder)
  }

  async close(): Promise<void> {
    if (this.#gone !== null) return
    const exit = new Promise<void>(resolve => this.#worker.once('exit', () => resolve()))
    this.#worker.ref()
    this.#port.postMessage({ kind: 'close' } satisfies WritingOrder)
    await exit
    this.#port.close()
  }

  #end(outcome: Outcome): void {
    this.#port.unref()
    const ended = this.#ended
    this.#ended = null
    ended?.(outcome)
  }

  /** Nobody knows whether what was under way is on disk: nothing more can be kept before the file is read anew. */
  #lose(why: string): void {
    this.#gone ??= why
    const message = `Cannot keep what came in: the writing thread must run; restart the service (${this.#gone})`
    this.#end({ failure: { code: StoreErrorCode.failed, message }, answers: [], refused: [] })
  }
}
