import { fileURLToPath } from 'node:url'
import { Worker } from 'node:worker_threads'
import type { Ask, BoardData, Figures, Ran, Surroundings } from './protocol.ts'

const FIRMWARE = fileURLToPath(new URL('../../../firmware-protocol/device', import.meta.url))
const FAKES = fileURLToPath(new URL('./fakes', import.meta.url))
const WORKER = new URL('./board-worker.ts', import.meta.url).href
/** TypeScript in a worker needs its loader first. */
const BOOTSTRAP = `import('tsx/esm/api').then(tsx => {
  tsx.register()
  return import(require('node:worker_threads').workerData.worker)
})`

export const WATER_ROM = '28aa01020304057b'
export const ROOM_ROM = '28bb0102030405c4'
export const PINS = { flow: 27, lamp: 26, buzzer: 25, led: 2 } as const

export const ResetCause = { powerOn: 1, watchdog: 3, software: 5 } as const

export interface BoardSettings {
  readonly device: string
  readonly password: string
  readonly port: number
  readonly flashKb?: number
  readonly channels?: readonly object[]
  /** Whether this broker tells devices the time, as the whole service does. */
  readonly isToldTime?: boolean
  /** How long an answer is waited for on the wall's clock; 20 s when left out, which a busy machine needs. Less where answers are held back on purpose. */
  readonly answerMs?: number
}

/** A simulated clock that boards and the broker share. */
export class SharedClock {
  readonly buffer = new SharedArrayBuffer(8)
  readonly #ms = new Float64Array(this.buffer)
  constructor(startMs: number) {
    this.#ms[0] = startMs
  }
  get now(): number {
    return Math.floor(this.#ms[0]!)
  }
  advance(ms: number): void {
    this.#ms[0]! += ms
  }
}

type Without<T> = T extends unknown ? Omit<T, 'id'> : never

/** A board with the firmware on its flash, which outlives its power. */
export class Board {
  readonly clock: SharedClock
  /** Everything on the flash but programs, as base64. */
  files: Record<string, string>
  readonly #pulses: number
  readonly #greetingMs: number
  readonly #answerMs: number
  #worker: Worker | null = null
  #asked = new Map<number, { resolve: (value: any) => void; reject: (error: Error) => void }>()
  #next = 1

  constructor(clock: SharedClock, settings: BoardSettings) {
    this.clock = clock
    const channels = settings.channels ?? [
      { name: 'water', kind: 'probe', pin: 4, rom: WATER_ROM },
      { name: 'room', kind: 'probe', pin: 4 },
      { name: 'light', kind: 'light', scl: 22, sda: 21 },
      { name: 'air', kind: 'flow', pin: PINS.flow, pulses_per_litre: 100 },
    ]
    this.#pulses = 100
    this.#answerMs = settings.answerMs ?? 20_000
    this.#greetingMs = settings.isToldTime ? 10_000 : 0
    const { device, password, port, flashKb = 512 } = settings
    const json = {
      ...{ device, password, broker: '127.0.0.1', port, flash_kb: flashKb, channels },
      lamps: [{ pin: PINS.lamp, on: 1, channels: ['water', 'light'] }],
      buzzer: { pin: PINS.buzzer },
    }
    this.files = { 'settings.json': Buffer.from(JSON.stringify(json)).toString('base64') }
  }

  async powerOn(resetCause: number = ResetCause.powerOn, ticksFrom = 0): Promise<void> {
    const data: BoardData & { worker: string } = {
      worker: WORKER,
      clock: this.clock.buffer,
      firmware: FIRMWARE,
      fakes: FAKES,
      files: this.files,
      pulses: { pin: PINS.flow, perLitre: this.#pulses },
      waterRom: WATER_ROM,
      roomRom: ROOM_ROM,
      resetCause,
      ticksFrom,
      greetingMs: this.#greetingMs,
      answerMs: this.#answerMs,
    }
    const worker = new Worker(BOOTSTRAP, { eval: true, workerData: data })
    this.#worker = worker
    await new Promise<void>((resolve, reject) => {
      this.#asked.set(0, { resolve, reject })
      worker.on('message', (message: { id: number; result?: unknown; error?: string }) => {
        const asked = this.#asked.get(message.id)
        this.#asked.delete(message.id)
        if (message.error === undefined) asked?.resolve(message.result)
        else asked?.reject(new Error(message.error))
      })
      worker.on('error', error => {
        for (const { reject: fail } of this.#asked.values()) fail(error)
        this.#asked.clear()
      })
    })
  }

  /** The power goes, between two passes of the loop: what is on the flash stays, all else is gone. */
  async powerOff(): Promise<void> {
    if (!this.#worker) return
    this.files = await this.#ask({ do: 'files' })
    await this.#worker.terminate()
    this.#worker = null
  }

  run(forMs: number, stepMs = 20): Promise<Ran> {
    return this.#ask({ do: 'run', untilMs: this.clock.now + forMs, stepMs })
  }
  surround(change: Partial<Surroundings>): Promise<void> {
    return this.#ask({ do: 'surround', change })
  }
  /** What a Python expression gives, as text; `rig.monitor` is the firmware. */
  python(code: string): Promise<string> {
    return this.#ask({ do: 'python', code })
  }
  figures(): Promise<Figures> {
    return this.#ask({ do: 'figures' })
  }
  cut(): Promise<void> {
    return this.#ask({ do: 'cut' })
  }

  #ask<T>(ask: Without<Ask>): Promise<T> {
    return new Promise((resolve, reject) => {
      if (!this.#worker) return reject(new Error('the board has no power'))
      const id = this.#next++
      this.#asked.set(id, { resolve, reject })
      this.#worker.postMessage({ ...ask, id })
    })
  }
}
