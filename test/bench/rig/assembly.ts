import { fork, spawn } from 'node:child_process'
import { once } from 'node:events'
import { existsSync, writeFileSync } from 'node:fs'
import { createServer, type AddressInfo } from 'node:net'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { freshDir, removeDir } from '../../system/program.ts'
import { RUN_TYPESCRIPT } from './load.ts'
import { wait } from './process.ts'

export interface Assembly {
  readonly host: string
  readonly port: number
  /** Messages whose readings are on disk. */
  stored(): Promise<number>
  stop(): Promise<void>
}

/** Debian's mosquitto as it comes, and a subscriber that writes to SQLite, `batch` messages in a commit at most. */
export async function startAssembly(batch: number): Promise<Assembly> {
  const dir = freshDir()
  const port = await freePort()
  const config = join(dir, 'mosquitto.conf')
  writeFileSync(config, `listener ${port} 127.0.0.1\nallow_anonymous true\n`)
  const binary = ['/usr/sbin/mosquitto', '/usr/bin/mosquitto'].find(path => existsSync(path))
  if (binary === undefined) throw new Error('Cannot compare: mosquitto must be installed')
  const broker = spawn(binary, ['-c', config], { stdio: 'ignore' })
  const subscriber = fork(
    fileURLToPath(new URL('./assembly-subscriber.ts', import.meta.url)),
    [String(port), join(dir, 'readings.db'), String(batch)],
    { execArgv: RUN_TYPESCRIPT },
  )
  // It connects as soon as the broker is there.
  await once(subscriber, 'message')
  return {
    host: '127.0.0.1',
    port,
    async stored() {
      subscriber.send('how many')
      const [count] = (await once(subscriber, 'message')) as [number]
      return count
    },
    async stop() {
      const ended = Promise.all([once(subscriber, 'exit'), once(broker, 'exit')])
      subscriber.disconnect()
      broker.kill()
      await ended
      await wait(50)
      removeDir(dir)
    },
  }
}

async function freePort(): Promise<number> {
  const server = createServer().listen(0, '127.0.0.1')
  await once(server, 'listening')
  const { port } = server.address() as AddressInfo
  await new Promise(resolve => server.close(resolve))
  return port
}
