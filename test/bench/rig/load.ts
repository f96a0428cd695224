import { fork } from 'node:child_process'
import { fileURLToPath } from 'node:url'
import type { Percentiles } from '../numbers.ts'
import type { PackKind } from './packs.ts'

export interface Credentials {
  readonly device: string
  readonly password: string
}

export interface LoadOrder {
  readonly host: string
  readonly port: number
  /** One connection each. */
  readonly devices: readonly Credentials[]
  readonly boot: string
  readonly pack: PackKind
  /** As fast as acknowledgements come, with so many under way on each line; or by the clock, over all lines together. */
  readonly pace: { readonly inFlight: number } | { readonly packsPerSecond: number }
  readonly warmUpS: number
  readonly seconds: number
}

export interface LoadResult {
  readonly packsPerSecond: number
  readonly seconds: number
  /** Warm-up and what was under way at the end included. */
  readonly ackedInAll: number
  /** Packs of a paced load that could not be sent in time. */
  readonly heldBack: number
  readonly ackMs: Percentiles
  /** Processor time of the client per second: near 1, and it is the client that is measured. */
  readonly coresUsed: number
}

export type LoadAnswer =
  | { readonly kind: 'warm' }
  | { readonly kind: 'done'; readonly result: LoadResult }
  | { readonly kind: 'broken'; readonly message: string }

export interface Load {
  /** Resolves when the warm-up is over and what happens from now on counts. */
  readonly warm: Promise<void>
  readonly result: Promise<LoadResult>
  /** Ends it before its time; the result is of the time it had. */
  stop(): void
}

/** Flags under which a child runs TypeScript. */
export const RUN_TYPESCRIPT = ['--import', import.meta.resolve('tsx')]

/** Starts a load in a process of its own. */
export function startLoad(order: LoadOrder): Load {
  const child = fork(fileURLToPath(new URL('./load-client.ts', import.meta.url)), {
    execArgv: RUN_TYPESCRIPT,
  })
  const { promise: warm, resolve: isWarm, reject: neverWarm } = deferred<void>()
  const { promise: result, resolve: done, reject: failed } = deferred<LoadResult>()
  // Who waits for the one need not wait for the other.
  warm.catch(() => undefined)
  result.catch(() => undefined)
  child.on('message', (answer: LoadAnswer) => {
    if (answer.kind === 'warm') isWarm()
    else if (answer.kind === 'done') done(answer.result)
    else {
      neverWarm(new Error(`the load broke: ${answer.message}`))
      failed(new Error(`the load broke: ${answer.message}`))
    }
  })
  child.on('exit', code => {
    neverWarm(new Error(`the load ended with ${code}`))
    failed(new Error(`the load ended with ${code}`))
  })
  child.send(order)
  return { warm, result, stop: () => void (child.connected && child.send('stop')) }
}

function deferred<T>() {
  let resolve!: (value: T) => void
  let reject!: (error: Error) => void
  const promise = new Promise<T>((yes, no) => {
    resolve = yes
    reject = no
  })
  return { promise, resolve, reject }
}
