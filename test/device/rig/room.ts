import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pino } from 'pino'
import { hashSecret } from '../../../broker/secrets.ts'
import { start, type Running } from '../../../broker/start.ts'
import { parseFlags } from '../../../broker/flags.ts'
import { openStore } from '../../../broker/store/sqlite/open.ts'
import type { Sample } from '../../../broker/store/contract.ts'
import type { SharedClock } from './board.ts'

/** The whole service on a clock of the test's, with its store on disk. */
export class Service {
  readonly dir = mkdtempSync(join(tmpdir(), 'brinewatch-device-'))
  readonly #clock: SharedClock
  #running: Running | null = null
  #port = 0

  constructor(clock: SharedClock) {
    this.#clock = clock
  }
  get port(): number {
    return this.#port
  }
  get http(): string {
    return `http://127.0.0.1:${this.#running!.http.port}`
  }
  async open(): Promise<void> {
    const flags = parseFlags([
      '--data',
      this.dir,
      '--http',
      '127.0.0.1:0',
      '--mqtt',
      `127.0.0.1:${this.#port}`,
    ])
    this.#running = await start(flags, {
      clock: () => this.#clock.now,
      random: () => 0.5,
      logger: pino({ level: 'silent' }),
    })
    this.#port = this.#running.mqtt!.port
  }
  async close(): Promise<void> {
    await this.#running?.close()
    this.#running = null
  }
  async addDevice(name: string, password: string): Promise<void> {
    const store = await openStore({ dir: this.dir, exclusive: false, threads: false })
    await store.addDevice({ name, secretHash: hashSecret(password), createdAtMs: this.#clock.now })
    await store.close()
  }
  /** Every sample that is on disk of a channel, after the service has closed. */
  async samples(device: string, channel: string): Promise<Sample[]> {
    const store = await openStore({ dir: this.dir, exclusive: false, threads: false })
    const all = await store.samples([
      { device, channel, offset: 0, fromMs: 0, toMs: Number.MAX_SAFE_INTEGER },
    ])
    await store.close()
    return all
  }
  async api(method: string, path: string, body?: unknown): Promise<any> {
    const response = await fetch(`${this.http}${path}`, {
      method,
      ...(body === undefined
        ? {}
        : { headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) }),
    })
    const text = await response.text()
    if (!response.ok) throw new Error(`${method} ${path}: ${response.status} ${text}`)
    return text === '' ? undefined : JSON.parse(text)
  }
  remove(): void {
    rmSync(this.dir, { recursive: true, force: true })
  }
}
