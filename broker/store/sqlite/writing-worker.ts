import { type MessagePort, workerData } from 'node:worker_threads'
import { openDatabase, WRITER_BUSY_TIMEOUT_MS } from './database.ts'
import { Transactions } from './transactions.ts'
import type { Work } from './writes.ts'

/** What the writing thread is told. It answers each `write` with an outcome. */
export type WritingOrder =
  | { readonly kind: 'write'; readonly doing: string; readonly works: readonly Work[] }
  | { readonly kind: 'limitBytes'; readonly bytes: number }
  | { readonly kind: 'close' }

const { file, port } = workerData as { file: string; port: MessagePort }
const db = openDatabase(file, WRITER_BUSY_TIMEOUT_MS)
const transactions = new Transactions(db)

port.on('message', (order: WritingOrder) => {
  switch (order.kind) {
    case 'write':
      return port.postMessage(transactions.run(order.doing, order.works))
    case 'limitBytes':
      return transactions.limitBytes(order.bytes)
    case 'close':
      db.close()
      return port.close()
  }
})
