import pino from 'pino'
import { createJudge } from '../../broker/intake/quality.ts'
import { Quantity, type Reading, UNIT_KEPT } from '../../broker/intake/reading.ts'
import type { Alarm } from '../../broker/rules/alarm.ts'
import { openRoom, type RunningRoom } from '../../broker/room/room.ts'
import type { Scenario } from '../../sim/scenario.ts'
import type { Measured } from '../../sim/world.ts'
import { memoryStore } from './memory-store.ts'

export const HOUR_MS = 3_600_000
export const DAY_MS = 24 * HOUR_MS
const BEGINS_MS = Date.UTC(2026, 0, 5, 8)
/** Forecasts cost most of the time and change slowly. */
const FORECAST_EVERY_MS = 5 * 60_000

/** One call to the person. */
export interface Call {
  readonly rule: Alarm['rule']
  readonly vesselId: string | null
  readonly priority: Alarm['priority']
  readonly atMs: number
  readonly text: string
}

/** What one sampling brings; a role left out brings nothing. */
export type Sampled = Partial<Measured>

const ROLES = [
  ['water', 'waterC', Quantity.water, UNIT_KEPT.water],
  ['air', 'airLpm', Quantity.air, UNIT_KEPT.air],
  ['light', 'lightLx', Quantity.light, UNIT_KEPT.light],
  ['level', 'levelShare', Quantity.level, UNIT_KEPT.level],
] as const

/** A real room with real rules and intake's judgement of quality, fed by hand, with a clock that the caller turns. */
export class WatchedRoom {
  readonly calls: Call[] = []
  nowMs = BEGINS_MS
  #running!: RunningRoom
  readonly #quality = createJudge()
  readonly #seq = new Map<string, number>()

  static async open(): Promise<WatchedRoom> {
    const watched = new WatchedRoom()
    let ids = 0
    const clock = () => watched.nowMs
    watched.#running = await openRoom({
      store: memoryStore(),
      clock,
      newId: () => `id${ids++}`,
      logger: pino({ level: 'warn' }),
      forecastEveryMs: FORECAST_EVERY_MS,
    })
    watched.room.onChange(change => {
      if (change.kind !== 'alarm' || !change.raised) return
      const { rule, vesselId, priority, text } = change.alarm
      watched.calls.push({ rule, vesselId, priority, atMs: watched.nowMs, text })
    })
    return watched
  }

  get room() {
    return this.#running.room
  }

  /** A vessel with its own device, or with its own channels on a device that it shares. */
  async addVessel(
    name: string,
    { litres, levelSensor }: Pick<Scenario, 'litres' | 'levelSensor'>,
    device: string,
    prefix = '',
  ): Promise<string> {
    const { row } = await this.room.createVessel({ name, litres })
    const on = (channel: string) => ({ device, channel: `${prefix}${channel}` })
    const level = levelSensor ? { level: on('level') } : {}
    const channels = { water: on('water'), air: on('air'), light: on('light'), ...level }
    await this.room.assignChannels(row.id, { channels, offsets: {} })
    return row.id
  }

  /** A pack of what was measured at a time, arriving now. */
  send(device: string, sampled: readonly { prefix: string; of: Sampled }[], atMs = this.nowMs): void {
    const quality = this.#quality.of(device)
    const readings = sampled.flatMap(({ prefix, of }) =>
      ROLES.flatMap(([role, field, quantity, unit]): Reading[] => {
        const value = of[field]
        if (value === undefined || value === null) return []
        const channel = `${prefix}${role}`
        return [
          { channel, quantity, unit, value, atMs, quality: quality.judge(channel, quantity, value, atMs) },
        ]
      }),
    )
    const seq = (this.#seq.get(device) ?? 0) + 1
    this.#seq.set(device, seq)
    this.#running.outlet.pack({ device, boot: 'b', seq, receivedAtMs: this.nowMs, readings }, () => undefined)
  }

  tick(): void {
    this.#running.tick()
  }

  /** Lets promises settle that the room left behind. */
  async breathe(): Promise<void> {
    await new Promise(resolve => setImmediate(resolve))
  }
}
