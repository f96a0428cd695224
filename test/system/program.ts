import { spawn, spawnSync, type ChildProcess } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'

const dist = fileURLToPath(new URL('../../dist', import.meta.url))

/** The built program, running in a process of its own on free ports. */
export interface Program {
  readonly dir: string
  readonly pid: number
  readonly http: string
  readonly mqttHost: string
  readonly mqttPort: number
  /** Milliseconds from the start of the process to its ready line, without those in which others had the cores that it asked for. */
  readonly readyAfterMs: number
  readonly readyLine: string
  /** What it has written to standard error. */
  log(): string
  api(method: string, path: string, body?: unknown): Promise<{ status: number; type: string; body: any }>
  addDevice(name: string): { device: string; password: string }
  /** SIGTERM; resolves with the exit code. */
  stop(): Promise<number | null>
  /** SIGKILL. */
  kill(): Promise<void>
}

export function freshDir(): string {
  return mkdtempSync(join(tmpdir(), 'brinewatch-test-'))
}

/** How long a process's main thread stood ready to run and got no core, ms (Linux, Documentation/scheduler/sched-stats.rst: "time spent waiting on a runqueue"). */
function waitedForCoreMs(pid: number): number {
  const waitedNs = readFileSync(`/proc/${pid}/schedstat`, 'utf8').split(' ')[1]
  return Number(waitedNs) / 1e6
}

export function removeDir(dir: string): void {
  rmSync(dir, { recursive: true, force: true })
}

/** Starts the built program as `npm start` does, and waits for its ready line. `nodeFlags` are for Node itself. */
export async function startProgram(
  dir: string,
  flags: readonly string[] = [],
  nodeFlags: readonly string[] = [],
): Promise<Program> {
  const startedAt = Date.now()
  const child = spawn(
    process.execPath,
    [
      ...nodeFlags,
      join(dist, 'broker/main.js'),
      '--data',
      dir,
      '--http',
      '127.0.0.1:0',
      '--mqtt',
      '127.0.0.1:0',
      '--log-level',
      'warn',
      ...flags,
    ],
    { stdio: ['ignore', 'pipe', 'pipe'] },
  )
  let stderr = ''
  child.stderr.on('data', (bytes: Buffer) => (stderr = (stderr + bytes.toString()).slice(-100_000)))
  const line = await readyLine(child, () => stderr)
  const http = /https?:\/\/\S+/.exec(line)?.[0]
  const mqtt = /mqtts?:\/\/([\d.]+):(\d+)/.exec(line)
  if (!http) throw new Error(`no address in the ready line: ${line}`)
  return {
    dir,
    pid: child.pid!,
    http,
    mqttHost: mqtt?.[1] ?? '',
    mqttPort: Number(mqtt?.[2] ?? 0),
    readyAfterMs: Date.now() - startedAt - waitedForCoreMs(child.pid!),
    readyLine: line,
    log: () => stderr,
    api: (method, path, body) => request(http, method, path, body),
    addDevice: name => addDevice(dir, name),
    stop: () => end(child, 'SIGTERM'),
    kill: async () => void (await end(child, 'SIGKILL')),
  }
}

/** Runs the command line tool as `npm run -s brinewatch` does. */
export function brinewatch(
  dir: string,
  ...args: string[]
): { status: number | null; stdout: string; stderr: string } {
  return spawnSync(process.execPath, [join(dist, 'broker/cli.js'), '--data', dir, ...args], {
    encoding: 'utf8',
  })
}

export function addDevice(dir: string, name: string): { device: string; password: string } {
  const { status, stdout, stderr } = brinewatch(dir, 'device', 'add', name)
  if (status !== 0) throw new Error(`device add failed: ${stderr}`)
  return JSON.parse(stdout) as { device: string; password: string }
}

/** Publishes with Debian's mosquitto_pub at QoS 1; it exits after the acknowledgement. */
export function mosquittoPub(
  program: Pick<Program, 'mqttHost' | 'mqttPort'>,
  device: { device: string; password: string },
  payload: string | Buffer,
  topic = `brinewatch/v1/${device.device}/measurements`,
): { status: number | null; stderr: string } {
  return spawnSync(
    'mosquitto_pub',
    [
      '-h',
      program.mqttHost,
      '-p',
      String(program.mqttPort),
      '-u',
      device.device,
      '-P',
      device.password,
      '-q',
      '1',
      '-t',
      topic,
      '-s',
    ],
    { input: payload, encoding: 'utf8', timeout: 15_000 },
  )
}

/** Asks until the answer passes, at most `withinMs`; returns the last answer. */
export async function until<T>(
  ask: () => Promise<T>,
  passes: (answer: T) => boolean,
  withinMs = 30_000,
): Promise<T> {
  const end = Date.now() + withinMs
  for (;;) {
    const answer = await ask()
    if (passes(answer) || Date.now() > end) return answer
    await new Promise(resolve => setTimeout(resolve, 50))
  }
}

async function request(http: string, method: string, path: string, body?: unknown) {
  // A connection of its own: one that is used again may be closed by the service at the moment in which it is.
  const headers = { connection: 'close' }
  const response = await fetch(`${http}${path}`, {
    method,
    ...(body === undefined
      ? { headers }
      : { headers: { ...headers, 'content-type': 'application/json' }, body: JSON.stringify(body) }),
  })
  const text = await response.text()
  const type = response.headers.get('content-type') ?? ''
  return { status: response.status, type, body: type.includes('json') ? JSON.parse(text) : text }
}

function readyLine(child: ChildProcess, stderr: () => string): Promise<string> {
  return new Promise((resolve, reject) => {
    let out = ''
    child.stdout!.on('data', (bytes: Buffer) => {
      out += bytes.toString()
      const line = out.split('\n').find(text => text.startsWith('brinewatch ready'))
      if (line) resolve(line)
    })
    child.once('exit', code =>
      reject(new Error(`the program ended with ${code} before it was ready: ${stderr()}`)),
    )
  })
}

function end(child: ChildProcess, signal: 'SIGTERM' | 'SIGKILL'): Promise<number | null> {
  if (child.exitCode !== null || child.signalCode !== null) return Promise.resolve(child.exitCode)
  return new Promise(resolve => {
    child.once('exit', code => resolve(code))
    child.kill(signal)
  })
}
