import { fork } from 'node:child_process'
import { once } from 'node:events'
import { fileURLToPath } from 'node:url'
import { RUN_TYPESCRIPT } from './load.ts'

export interface BareBroker {
  readonly pid: number
  readonly host: string
  readonly port: number
  stop(): Promise<void>
}

export async function startBareAedes(): Promise<BareBroker> {
  const child = fork(fileURLToPath(new URL('./bare-aedes.ts', import.meta.url)), { execArgv: RUN_TYPESCRIPT })
  const [port] = (await once(child, 'message')) as [number]
  return {
    pid: child.pid!,
    host: '127.0.0.1',
    port,
    async stop() {
      const ended = once(child, 'exit')
      child.disconnect()
      await ended
    },
  }
}
