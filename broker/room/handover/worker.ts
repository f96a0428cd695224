import { parentPort } from 'node:worker_threads'
import type { HandoverDesk } from './desk.ts'
import { LocalDesk } from './local-desk.ts'
import { toldError, type ToldError } from './told-error.ts'
import { buffersOf, type Unpacked } from './unpacked.ts'

/** What the thread is asked: one of the desk's works, and what it is to be done with. */
export type Work = Exclude<keyof HandoverDesk, 'close'>
export interface ToThread {
  readonly id: number
  readonly work: Work
  readonly args: readonly unknown[]
}
export type FromThread =
  | { readonly id: number; readonly ok: true; readonly answer: unknown }
  | { readonly id: number; readonly ok: false; readonly error: ToldError }

const port = parentPort!
const desk = new LocalDesk()
const works: Record<Work, (...args: never[]) => Promise<unknown>> = {
  toKeep: desk.toKeep.bind(desk),
  unpack: desk.unpack.bind(desk),
  look: desk.look.bind(desk),
  write: desk.write.bind(desk),
}

port.on('message', ({ id, work, args }: ToThread) => {
  works[work](...(args as never[])).then(
    answer => {
      const moved = work === 'unpack' ? buffersOf(answer as Unpacked) : []
      port.postMessage({ id, ok: true, answer } satisfies FromThread, moved)
    },
    (error: unknown) => port.postMessage({ id, ok: false, error: toldError(error) } satisfies FromThread),
  )
})
