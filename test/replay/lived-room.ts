import pino from 'pino'
import { Quality, type PlacedPack } from '../../broker/intake/reading.ts'
import { defaultRules } from '../../broker/rules/defaults.ts'
import type { Alarm } from '../../broker/rules/alarm.ts'
import { openRoom, type RunningRoom } from '../../broker/room/room.ts'
import { defaultSettings } from '../../broker/room/settings.ts'
import { readRecording } from '../../broker/replay/read-recording.ts'
import { replay, type ReplayedStep } from '../../broker/replay/replay.ts'
import { fullStore } from './full-store.ts'

export const MINUTE_MS = 60_000
export const HOUR_MS = 60 * MINUTE_MS
export const TICK_MS = 10_000
export const BEGINS_MS = Date.UTC(2026, 0, 5, 8)
export const SILENT = pino({ level: 'silent' })
const FORECAST_EVERY_MS = 10 * MINUTE_MS

/** Quick to anger: short delays, so that a few hours hold many alarms. */
export const SETTINGS = {
  ...defaultSettings,
  rules: {
    ...defaultRules,
    'water-too-cool': {
      ...defaultRules['water-too-cool'],
      onDelayMs: 3 * MINUTE_MS,
      leastCostMs: 10 * MINUTE_MS,
    },
    'light-out': { ...defaultRules['light-out'], latching: true },
    'air-lost': { ...defaultRules['air-lost'], reAlarmMs: 5 * MINUTE_MS },
  },
}

export type Values = Partial<Record<'water' | 'air' | 'light', number | null>>
interface Queued {
  readonly atMs: number
  readonly values: Values
  readonly quality: Quality
}

/** A room that is lived in, tick by tick, and then lived through again. */
export class LivedRoom {
  readonly store = fullStore()
  readonly steps: ReplayedStep[] = []
  readonly devices = new Map<string, Queued[]>()
  nowMs = BEGINS_MS
  #running: RunningRoom | null = null
  #tickAtMs = 0
  #ids = 0

  static async open(): Promise<LivedRoom> {
    const lived = new LivedRoom()
    await lived.store.keepDocument('settings', JSON.stringify(SETTINGS))
    await lived.start()
    return lived
  }

  get room() {
    if (!this.#running) throw new Error('the service is away')
    return this.#running.room
  }
  get isThere(): boolean {
    return this.#running !== null
  }

  async start(): Promise<void> {
    this.#running = await openRoom({
      store: this.store,
      clock: () => this.nowMs,
      newId: () => `id${this.#ids++}`,
      logger: SILENT,
      forecastEveryMs: FORECAST_EVERY_MS,
    })
    this.#tickAtMs = this.nowMs + TICK_MS
    this.#running.room.onChange(change => {
      if (change.kind === 'alarm')
        this.steps.push({ atMs: this.nowMs, alarm: change.alarm, calls: change.raised })
    })
  }

  /** The process is gone; what is kept is kept. */
  kill(): void {
    this.#running = null
  }

  async addVessel(name: string, device: string, prefix = ''): Promise<string> {
    const { row } = await this.room.createVessel({ name, litres: 1 })
    const on = (channel: string) => ({ device, channel: `${prefix}${channel}` })
    const channels = { water: on('water'), air: on('air'), light: on('light') }
    await this.room.assignChannels(row.id, { channels, offsets: { water: 0.25 } })
    return row.id
  }

  /** Time passes, in ticks. */
  async pass(ms: number): Promise<void> {
    const untilMs = this.nowMs + ms
    for (; this.#running && this.#tickAtMs <= untilMs; this.#tickAtMs += TICK_MS) {
      this.nowMs = this.#tickAtMs
      this.#running.tick()
      await settled()
    }
    this.nowMs = untilMs
  }

  /** Devices keep what they cannot send; what they can send goes out at once, all that waited in one pack. */
  measure(
    device: string,
    values: Values,
    { reaches = true, quality = Quality.good }: { reaches?: boolean; quality?: Quality } = {},
  ): void {
    const queue = this.devices.get(device) ?? []
    this.devices.set(device, queue)
    queue.push({ atMs: this.nowMs, values, quality })
    if (!reaches || !this.#running) return
    const readings = queue.splice(0).flatMap(({ atMs, values, quality }) =>
      (['water', 'air', 'light'] as const).flatMap(role => {
        const value = values[role]
        if (value === undefined) return []
        return [{ channel: role, quantity: role, unit: '', value, quality, atMs }]
      }),
    )
    const pack: PlacedPack = { device, boot: null, seq: null, receivedAtMs: this.nowMs, readings }
    this.#running.outlet.pack(pack, () => undefined)
  }

  async livedAgain(): Promise<ReplayedStep[]> {
    const recording = await readRecording(this.store, {
      fromMs: BEGINS_MS,
      toMs: this.nowMs + 1,
    })
    const steps: ReplayedStep[] = []
    await replay(recording, SETTINGS, {
      logger: SILENT,
      breathe: settled,
      onStep: step => steps.push(step),
      forecastEveryMs: FORECAST_EVERY_MS,
      tickMs: TICK_MS,
    })
    return steps
  }
}

export async function settled(): Promise<void> {
  await new Promise(resolve => setImmediate(resolve))
}

/** Steps with the alarms named in the order of their first appearance, so that two runs compare. */
export function plain(steps: readonly ReplayedStep[]): unknown[] {
  const names = new Map<string, string>()
  const name = (id: string) => {
    const known = names.get(id) ?? `alarm ${names.size + 1}`
    names.set(id, known)
    return known
  }
  return steps.map(({ atMs, alarm, calls }) => ({
    at: new Date(atMs).toISOString().slice(11, 23),
    calls,
    ...({
      ...alarm,
      id: name(alarm.id),
      causedBy: alarm.causedBy && name(alarm.causedBy),
      consequences: alarm.consequences.map(name),
    } satisfies Alarm),
  }))
}
