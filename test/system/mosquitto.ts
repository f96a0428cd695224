import { type ChildProcess, spawn } from 'node:child_process'
import { existsSync, writeFileSync } from 'node:fs'
import { createServer } from 'node:net'
import { join } from 'node:path'

/** Debian's broker, on a port of its own. */
export interface Mosquitto {
  readonly port: number
  /** Again, on the same port, with nothing remembered. */
  start(): void
  stop(): Promise<void>
}

/** `lines` of its configuration, beside those on where it listens and that it keeps nothing. */
export async function startMosquitto(dir: string, lines: readonly string[]): Promise<Mosquitto> {
  const port = await freePort()
  const config = join(dir, 'mosquitto.conf')
  const all = [`listener ${port} 127.0.0.1`, 'user root', 'persistence false', ...lines]
  writeFileSync(config, `${all.join('\n')}\n`)
  const binary = ['/usr/sbin/mosquitto', '/usr/bin/mosquitto'].find(path => existsSync(path))
  if (binary === undefined) throw new Error('Cannot test with Debian’s broker: apt-get install mosquitto')
  let server: ChildProcess
  const start = (): void => {
    server = spawn(binary, ['-c', config], { stdio: 'ignore' })
  }
  start()
  return {
    port,
    start,
    async stop() {
      if (server.exitCode !== null) return
      const gone = new Promise(resolve => server.once('exit', resolve))
      server.kill()
      await gone
    },
  }
}

function freePort(): Promise<number> {
  return new Promise(resolve => {
    const server = createServer().listen(0, '127.0.0.1', () => {
      const { port } = server.address() as { port: number }
      server.close(() => resolve(port))
    })
  })
}
