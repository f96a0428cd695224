import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { deviceAlarm } from '../../firmware-protocol/device-alarm.ts'
import { createDeviceAlarmPost, type DeviceAlarmPost } from '../../broker/devices/alarm-post.ts'
import type { DeviceView, VesselView } from '../../broker/room/views.ts'
import type { RoomChange, RoomSnapshot } from '../../broker/room/contract.ts'
import type { Alarm } from '../../broker/rules/alarm.ts'
import type { AssignmentRow } from '../../broker/store/contract.ts'
import { aDevice, anAlarm, NOW_MS } from '../web/examples.ts'

const TOPIC = 'brinewatch/v1/bench-1/alarm'

/** A room that is what the test says, and a broker that can be away. */
class Bench {
  alarms: Alarm[] = []
  vessels: VesselView[] = [vessel('v1', 'bench-1')]
  devices: DeviceView[] = [aDevice('bench-1')]
  nowMs = NOW_MS
  away = false
  snapshots = 0
  /** In vain. */
  tries = 0
  readonly published: { topic: string; payload: string }[] = []
  readonly warnings: unknown[] = []
  #listener: (change: RoomChange) => void = () => undefined
  readonly post: DeviceAlarmPost

  constructor() {
    this.post = createDeviceAlarmPost({
      room: {
        snapshot: () => {
          this.snapshots++
          const { alarms, vessels, devices, nowMs } = this
          return { alarms, vessels, devices, nowMs } as unknown as RoomSnapshot
        },
        onChange: listener => {
          this.#listener = listener
          return () => (this.#listener = () => undefined)
        },
      },
      publish: async (topic, payload) => {
        if (this.away) this.tries++
        if (this.away) throw new Error('the broker is away')
        this.published.push({ topic, payload })
      },
      logger: { warn: (...line: unknown[]) => this.warnings.push(line), error: () => undefined } as never,
    })
  }

  change(change: RoomChange): void {
    this.#listener(change)
  }
  alarm(...alarms: Alarm[]): void {
    this.alarms = alarms.filter(({ state }) => state !== 'normal')
    for (const alarm of alarms) this.change({ kind: 'alarm', alarm, raised: false })
  }
  get last() {
    const payload = this.published.at(-1)!.payload
    return payload === '' ? '' : deviceAlarm.parse(JSON.parse(payload))
  }
}

function vessel(id: string, device: string | null): VesselView {
  const water: AssignmentRow | null =
    device === null
      ? null
      : {
          id: `${id}-${device}`,
          vesselId: id,
          role: 'water',
          device,
          channel: 'water',
          offset: 0,
          fromMs: 0,
          toMs: null,
        }
  return {
    row: { id, name: 'Left cone', litres: 1, createdAtMs: 0, retiredAtMs: null },
    channels: { water, 'upper-water': null, room: null, air: null, light: null, level: null },
    latest: { water: null, 'upper-water': null, room: null, air: null, light: null, level: null },
    batch: null,
    forecast: null,
  }
}

let bench: Bench
const turn = () => vi.advanceTimersByTimeAsync(0)
beforeEach(async () => {
  vi.useFakeTimers()
  bench = new Bench()
  bench.post.tellAll()
  await vi.advanceTimersByTimeAsync(2000)
})
afterEach(() => {
  bench.post.close()
  vi.useRealTimers()
})

describe("a device's alarm topic", () => {
  it('is told at the start, even that nothing stands: an external broker may have kept worse', () => {
    expect(bench.published.map(({ topic }) => topic)).toEqual([TOPIC])
    expect(bench.last).toMatchObject({ standing: 0, sound: false })
  })

  it('follows an alarm through its life', async () => {
    for (const [state, sound, lampOff] of [
      ['unacknowledged', true, true],
      ['acknowledged', false, true],
      ['normal', false, false],
    ] as const) {
      bench.alarm(anAlarm({ state }))
      await turn()
      expect(bench.last).toMatchObject({ sound, lampOff })
      await vi.advanceTimersByTimeAsync(1000)
    }
    expect(bench.published).toHaveLength(4)
  })

  it('is told within the turn of the first transition, all of that turn at once', async () => {
    bench.alarm(anAlarm(), anAlarm({ id: 'alarm-2', rule: 'air-lost' }))
    await turn()
    expect(bench.published).toHaveLength(2)
    expect(bench.last).toMatchObject({ standing: 2 })
  })

  it('hears no more than one a second, and the newest wins', async () => {
    const times: number[] = []
    const before = bench.published.length
    for (let i = 0; i < 100; i++) {
      bench.alarm(anAlarm({ action: `Step ${i}` }))
      const had = bench.published.length
      await vi.advanceTimersByTimeAsync(50)
      if (bench.published.length > had) times.push(i * 50)
    }
    await vi.advanceTimersByTimeAsync(2000)
    // Over 5 s: one at once, one at the end of each second.
    expect(bench.published.length - before).toBeGreaterThanOrEqual(5)
    expect(bench.published.length - before).toBeLessThanOrEqual(6)
    for (const [i, at] of times.slice(1).entries()) expect(at - times[i]!).toBeGreaterThanOrEqual(950)
    expect(bench.last).toMatchObject({ text: 'Left cone: Step 99' })
  })

  it('is not told what it knows, nor anything because time or readings pass', async () => {
    bench.alarm(anAlarm())
    await vi.advanceTimersByTimeAsync(2000)
    const { length } = bench.published
    const { snapshots } = bench
    bench.nowMs += 60_000
    bench.change({
      kind: 'reading',
      vesselId: 'v1',
      role: 'water',
      sample: { atMs: 0, value: 1, quality: 'good' },
      late: false,
    })
    bench.change({ kind: 'device', device: aDevice('bench-1') })
    bench.change({ kind: 'vessel', vessel: vessel('v1', 'bench-1') })
    await vi.advanceTimersByTimeAsync(2000)
    expect(bench.snapshots).toBe(snapshots)
    bench.alarm(anAlarm({ text: 'Water is 30.2 °C.' }))
    await vi.advanceTimersByTimeAsync(2000)
    expect(bench.published).toHaveLength(length)
  })

  it('is told anew, with the time since, when the device comes', async () => {
    bench.alarm(anAlarm({ raisedAtMs: NOW_MS }))
    await vi.advanceTimersByTimeAsync(2000)
    bench.change({ kind: 'device', device: { ...aDevice('bench-1'), online: false } })
    bench.nowMs += 90_000
    bench.change({ kind: 'device', device: aDevice('bench-1') })
    await turn()
    expect(bench.last).toMatchObject({ sinceS: 90, sound: true })
  })

  it('is told once more when a device that has come has had time to subscribe, with the time of day', async () => {
    await vi.advanceTimersByTimeAsync(2000)
    bench.change({ kind: 'device', device: { ...aDevice('bench-1'), online: false } })
    bench.change({ kind: 'device', device: aDevice('bench-1') })
    await turn()
    const { length } = bench.published
    bench.nowMs += 2000
    await vi.advanceTimersByTimeAsync(2000)
    expect(bench.published).toHaveLength(length + 1)
    expect(bench.last).toMatchObject({ standing: 0, atMs: bench.nowMs })
    await vi.advanceTimersByTimeAsync(60_000)
    expect(bench.published).toHaveLength(length + 1)
  })

  it('follows the channel: the old device falls silent, the new one sounds', async () => {
    bench.alarm(anAlarm())
    await vi.advanceTimersByTimeAsync(2000)
    bench.vessels = [vessel('v1', 'bench-2')]
    bench.change({ kind: 'vessel', vessel: bench.vessels[0]! })
    await turn()
    const [old, fresh] = bench.published.slice(-2)
    expect(old).toMatchObject({ topic: TOPIC, payload: expect.stringContaining('"sound":false') })
    expect(fresh).toMatchObject({
      topic: 'brinewatch/v1/bench-2/alarm',
      payload: expect.stringContaining('"sound":true'),
    })
  })

  it('falls silent when its vessel leaves the room', async () => {
    bench.alarm(anAlarm())
    await vi.advanceTimersByTimeAsync(2000)
    bench.vessels = []
    bench.change({ kind: 'vessel-removed', vesselId: 'v1' })
    await turn()
    expect(bench.last).toMatchObject({ standing: 0, lampOff: false })
  })

  it('is cleared when the device is revoked, and is there again when it is added again', async () => {
    bench.devices = []
    bench.change({ kind: 'device-removed', device: 'bench-1' })
    await turn()
    expect(bench.published.at(-1)).toEqual({ topic: TOPIC, payload: '' })
    await vi.advanceTimersByTimeAsync(2000)
    bench.change({ kind: 'device', device: aDevice('bench-1') })
    await turn()
    expect(bench.last).toMatchObject({ standing: 0 })
  })

  it('tells every device of what concerns the whole room', async () => {
    bench.alarm(anAlarm({ vesselId: null, rule: 'power-lost' }))
    await turn()
    expect(bench.last).toMatchObject({ sound: true, rules: ['power-lost'] })
  })

  it('is tried again while the broker is away, and then says how things are by then', async () => {
    bench.away = true
    bench.alarm(anAlarm())
    await vi.advanceTimersByTimeAsync(12_000)
    bench.alarm(anAlarm({ state: 'acknowledged' }))
    await vi.advanceTimersByTimeAsync(12_000)
    // At once, and each 5 s.
    expect(bench.tries).toBeGreaterThanOrEqual(4)
    expect(bench.tries).toBeLessThanOrEqual(6)
    expect(bench.warnings).toHaveLength(1)
    bench.away = false
    await vi.advanceTimersByTimeAsync(5000)
    expect(bench.last).toMatchObject({ sound: false, lampOff: true })
  })

  it('is told all again when the broker may have forgotten', async () => {
    bench.alarm(anAlarm())
    await vi.advanceTimersByTimeAsync(2000)
    const { length } = bench.published
    bench.post.tellAll()
    await turn()
    expect(bench.published).toHaveLength(length + 1)
    expect(bench.last).toMatchObject({ sound: true })
  })

  it('says nothing more once closed', async () => {
    bench.alarm(anAlarm())
    bench.post.close()
    await vi.advanceTimersByTimeAsync(5000)
    bench.post.tellAll()
    await vi.advanceTimersByTimeAsync(5000)
    expect(bench.published).toHaveLength(1)
  })
})
