import { spawn, type ChildProcess } from 'node:child_process'
import { fileURLToPath } from 'node:url'

const built = (path: string) => fileURLToPath(new URL(`../../broker/${path}`, import.meta.url))

export interface Program {
  readonly http: string
  readonly mqttHost: string
  readonly mqttPort: number
  /** Settles when the process has ended, by itself or because of `stop`. */
  readonly ended: Promise<void>
  /** Ends the process and waits for it; after ten seconds it is killed. */
  stop(): Promise<void>
}

/** The program did not come up; it has said why on standard error. */
export class ProgramError extends Error {
  override readonly name = 'ProgramError'
}

/** Starts the built program in a process of its own and waits for the line that says where it listens. */
export async function startProgram(flags: readonly string[]): Promise<Program> {
  // A group of its own: Ctrl-C reaches this process alone, which lets the devices say goodbye first.
  const child = spawn(process.execPath, [built('main.js'), ...flags], {
    stdio: ['ignore', 'pipe', 'inherit'],
    detached: true,
  })
  const ended = new Promise<void>(resolve => {
    child.once('error', () => resolve())
    child.once('exit', () => resolve())
  })
  const killWithUs = () => void child.kill('SIGTERM')
  process.once('exit', killWithUs)
  void ended.then(() => process.off('exit', killWithUs))
  try {
    return { ...(await readyLine(child)), ended, stop: () => stop(child, ended) }
  } catch (error) {
    await stop(child, ended)
    throw error
  }
}

async function stop(child: ChildProcess, ended: Promise<void>): Promise<void> {
  child.kill('SIGTERM')
  const patience = setTimeout(() => child.kill('SIGKILL'), 10_000)
  await ended
  clearTimeout(patience)
}

function readyLine(child: ChildProcess): Promise<{ http: string; mqttHost: string; mqttPort: number }> {
  return new Promise((resolve, reject) => {
    let said = ''
    child.stdout?.on('data', (bytes: Buffer) => {
      if (said.length > 10_000) return
      said += bytes.toString()
      const [, http, mqttHost, port] =
        /^brinewatch ready: (http:\/\/\S+) mqtt:\/\/(\S+):(\d+)$/m.exec(said) ?? []
      if (http && mqttHost && port) {
        resolve({ http, mqttHost: mqttHost.replace(/^\[|\]$/g, ''), mqttPort: Number(port) })
      }
    })
    child.once('error', error => reject(new ProgramError(`Cannot start the program: ${error.message}`)))
    child.once('exit', code =>
      reject(new ProgramError(`The program ended with code ${code} before it was ready`)),
    )
  })
}

/** Adds a device as `npm run brinewatch -- device add` does, and returns its password. */
export async function addDevice(dataDir: string, name: string): Promise<string> {
  const child = spawn(process.execPath, [built('cli.js'), '--data', dataDir, 'device', 'add', name], {
    stdio: ['ignore', 'pipe', 'inherit'],
  })
  let said = ''
  child.stdout.on('data', (bytes: Buffer) => (said += bytes.toString()))
  const code = await new Promise<number | null>((resolve, reject) => {
    child.once('error', reject)
    child.once('close', resolve)
  })
  if (code !== 0) throw new ProgramError(`Cannot add device ${name}: the command ended with code ${code}`)
  const { password } = JSON.parse(said) as { password: string }
  return password
}
