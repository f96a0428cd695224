import { pino } from 'pino'
import { parentPort, workerData } from 'node:worker_threads'
import { guestStore } from '../../room/handover/guests.ts'
import { openStoreAt, type StorePlace } from '../../store/open-at.ts'
import type { Sooner, SoonerAsk } from './contract.ts'
import { SoonerSearch } from './search.ts'

/** What the thread is asked for, and what it answers. */
export type ToThread = { readonly run: number; readonly ask: SoonerAsk } | { readonly cancel: number }
export type FromThread = { readonly run: number } & (
  | { readonly progress: number }
  | { readonly result: Sooner }
  | { readonly cancelled: true }
  | { readonly failed: string }
)

const { place } = workerData as { place: StorePlace }
const port = parentPort!
const tell = (message: FromThread) => port.postMessage(message)
const cancelled = new Set<number>()
const store = await openStoreAt(place, { access: 'reading', threads: false })

/** Somebody has no use for it any more. */
class Cancelled extends Error {}

let running: number | null = null
const search = new SoonerSearch({
  store,
  elsewhere: batchId => guestStore(store, batchId),
  logger: pino({ level: 'silent' }),
  monotonicMs: () => performance.now(),
  async breathe() {
    await new Promise(resolve => setImmediate(resolve))
    if (running !== null && cancelled.has(running)) throw new Cancelled()
  },
})

let before: Promise<void> = Promise.resolve()
port.on('message', (message: ToThread) => {
  if ('cancel' in message) cancelled.add(message.cancel)
  else before = before.then(() => live(message.run, message.ask))
})

async function live(run: number, ask: SoonerAsk): Promise<void> {
  running = run
  try {
    if (cancelled.has(run)) throw new Cancelled()
    tell({ run, result: await search.run(ask, progress => tell({ run, progress })) })
  } catch (error) {
    if (error instanceof Cancelled) tell({ run, cancelled: true })
    else tell({ run, failed: error instanceof Error ? error.message : String(error) })
  } finally {
    running = null
    cancelled.delete(run)
  }
}
