import { pino } from 'pino'
import { parentPort, workerData } from 'node:worker_threads'
import { openStoreAt, type StorePlace } from '../store/open-at.ts'
import type { PendingBatch, TriedBatch, TryOutAsk } from './contract.ts'
import { TryOuts } from './try-out.ts'

/** What the thread is asked for, and what it answers. */
export type ToThread = { readonly id: string; readonly ask: TryOutAsk } | { readonly cancel: string }
export type FromThread = { readonly id: string } & (
  | { readonly total: number }
  | { readonly progress: number; readonly pending: readonly PendingBatch[] }
  | { readonly batch: TriedBatch }
  | { readonly ended: 'done' | 'cancelled' }
  | { readonly ended: 'failed'; readonly error: string }
)

/** Progress is told no more often than this, ms of the thread's own time. */
const TELL_EVERY_MS = 100

const { place } = workerData as { place: StorePlace }
const port = parentPort!
const tell = (message: FromThread) => port.postMessage(message)
const cancelled = new Set<string>()
const store = await openStoreAt(place, { access: 'reading', threads: false })

/** Somebody has no use for it any more. */
class Cancelled extends Error {}

let running: string | null = null
const tryOuts = new TryOuts({
  store,
  logger: pino({ level: 'silent' }),
  async breathe() {
    await new Promise(resolve => setImmediate(resolve))
    if (running !== null && cancelled.has(running)) throw new Cancelled()
  },
})

let before: Promise<void> = Promise.resolve()
port.on('message', (message: ToThread) => {
  if ('cancel' in message) cancelled.add(message.cancel)
  else before = before.then(() => run(message.id, message.ask))
})

async function run(id: string, ask: TryOutAsk): Promise<void> {
  let toldAtMs = -Infinity
  running = id
  try {
    if (cancelled.has(id)) throw new Cancelled()
    await tryOuts.run(ask, {
      onTotal: total => tell({ id, total }),
      onProgress(progress, pending) {
        const atMs = performance.now()
        if (atMs - toldAtMs < TELL_EVERY_MS) return
        toldAtMs = atMs
        tell({ id, progress, pending: pending() })
      },
      onBatch: batch => tell({ id, batch }),
    })
    tell({ id, ended: 'done' })
  } catch (error) {
    if (error instanceof Cancelled) tell({ id, ended: 'cancelled' })
    else tell({ id, ended: 'failed', error: error instanceof Error ? error.message : String(error) })
  } finally {
    running = null
    cancelled.delete(id)
  }
}
