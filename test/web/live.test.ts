import { Reminder } from '../../broker/web/api/reminders.ts'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { z } from 'zod'
import type { RoomChange } from '../../broker/room/contract.ts'
import { Forecast } from '../../broker/web/api/forecast.ts'
import { Device } from '../../broker/web/api/devices.ts'
import { Vessel } from '../../broker/web/api/vessels.ts'
import { Alarm, Latest, Settings } from '../../broker/web/api/schemas.ts'
import { MAX_CLIENTS } from '../../broker/web/live/feed.ts'
import { aDevice, aForecast, anAlarm, NOW_MS } from './examples.ts'
import { bench, type Bench } from './harness.ts'
import { LiveReader, refusedUpgrade } from './live-client.ts'

let service: Bench
let url = ''
beforeEach(async () => {
  service = bench({ clockSpeed: 60 })
  const { port } = await service.web.listen('127.0.0.1', 0)
  url = `ws://127.0.0.1:${port}/api/v1/live`
})
afterEach(() => service.web.close())

const reading = (value: number): RoomChange => ({
  kind: 'reading',
  vesselId: 'v1',
  role: 'water',
  sample: { atMs: NOW_MS, value, quality: 'good' },
  late: false,
})
const values = (reader: LiveReader) =>
  reader.changes().map(change => (change.kind === 'reading' ? change.latest.value : change.kind))

/** Every kind of change as the contract of the feed has it. */
const Change = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('reading'),
    vesselId: z.string(),
    channel: z.enum(['waterC', 'roomC', 'airLpm', 'lightLx']),
    latest: Latest.strict(),
    late: z.boolean(),
  }),
  z.strictObject({
    kind: z.literal('forecast'),
    vesselId: z.string(),
    forecast: Forecast.strict().nullable(),
  }),
  z.strictObject({ kind: z.literal('vessel'), vessel: Vessel.strict() }),
  z.strictObject({ kind: z.literal('vessel-removed'), vesselId: z.string() }),
  z.strictObject({ kind: z.literal('alarm'), alarm: Alarm.strict() }),
  z.strictObject({ kind: z.literal('device'), device: Device.strict() }),
  z.strictObject({ kind: z.literal('settings'), settings: Settings.strict() }),
  z.strictObject({ kind: z.literal('backfilled'), vesselId: z.string(), fromMs: z.int(), toMs: z.int() }),
])
const Snapshot = z.strictObject({
  type: z.literal('snapshot'),
  cursor: z.string(),
  nowMs: z.literal(NOW_MS),
  clockSpeed: z.literal(60),
  vessels: z.array(Vessel.strict()).length(1),
  devices: z.array(Device.strict()).length(1),
  alarms: z.array(Alarm.strict()).length(1),
  settings: Settings.strict(),
  reminders: z.array(Reminder.strict()),
  connect: z.strictObject({ mqttPort: z.int().nullable(), dataDir: z.string() }).optional(),
})

describe('the live feed', () => {
  it('begins with everything as it is now', async () => {
    Snapshot.parse(await new LiveReader(url).snapshot())
  })

  it('goes on with every kind of change, in order', async () => {
    const reader = new LiveReader(url)
    await reader.snapshot()
    const vessel = service.room.vessel('v1')
    const changes: RoomChange[] = [
      reading(26.5),
      { kind: 'forecast', vesselId: 'v1', forecast: aForecast() },
      { kind: 'forecast', vesselId: 'v2', forecast: null },
      { kind: 'vessel', vessel },
      { kind: 'vessel-removed', vesselId: 'v2' },
      { kind: 'device', device: aDevice('bench-1') },
      { kind: 'settings', settings: service.room.snapshot().settings },
      { kind: 'backfilled', vesselId: 'v1', fromMs: 1, toMs: 2 },
      { kind: 'alarm', alarm: anAlarm(), raised: true },
    ]
    service.room.emit(...changes)
    await reader.until(() => reader.changes().length === changes.length)
    expect(
      z
        .array(Change)
        .parse(reader.changes())
        .map(change => change.kind),
    ).toEqual(changes.map(({ kind }) => kind))
    expect(reader.changeMessages()).toHaveLength(1)
  })

  it('gathers readings for some 50 ms, and every one is sent', async () => {
    const reader = new LiveReader(url)
    await reader.snapshot()
    for (let n = 0; n < 100; n++) service.room.emit(reading(n))
    await reader.until(() => reader.changes().length === 100)
    expect(values(reader)).toEqual(Array.from({ length: 100 }, (_, n) => n))
    expect(reader.changeMessages()).toHaveLength(1)
  })

  it('sends of several states of one device or forecast only the newest', async () => {
    const reader = new LiveReader(url)
    await reader.snapshot()
    const state = (name: string, backlog: number): RoomChange => ({
      kind: 'device',
      device: { ...aDevice(name), backlog },
    })
    service.room.emit(state('a', 2), reading(1), state('b', 1), state('a', 1), reading(2), state('a', 0))
    await reader.until(() => reader.changes().length === 4)
    const sent = reader
      .changes()
      .map(change => (change.kind === 'device' ? [change.device.name, change.device.backlog] : change.kind))
    expect(sent).toEqual(['reading', ['b', 1], 'reading', ['a', 0]])
  })

  it('tells all clients the same', async () => {
    const readers = Array.from({ length: 5 }, () => new LiveReader(url))
    await Promise.all(readers.map(reader => reader.snapshot()))
    service.room.emit(reading(1))
    await Promise.all(readers.map(reader => reader.until(() => reader.changes().length === 1)))
    expect(new Set(readers.map(reader => JSON.stringify(reader.messages[1]))).size).toBe(1)
    expect(new Set(readers.map(reader => reader.cursor)).size).toBe(1)
  })

  it('turns away a client that talks, and one that sends too much', async () => {
    const talker = new LiveReader(url)
    await talker.snapshot()
    talker.socket.send('hello')
    expect((await talker.closed).code).toBe(1008)
    const shouter = new LiveReader(url)
    await shouter.snapshot()
    shouter.socket.send('x'.repeat(2000))
    expect((await shouter.closed).code).toBe(1009)
  })

  it('tells its clients when the service stops, and stops listening to the room', async () => {
    const reader = new LiveReader(url)
    await reader.snapshot()
    expect(service.room.listeners()).toBe(1)
    const startedMs = performance.now()
    await service.web.close()
    expect(performance.now() - startedMs).toBeLessThan(2000)
    expect((await reader.closed).code).toBe(1001)
    expect(service.room.listeners()).toBe(0)
  })

  it('counts its clients for /metrics', async () => {
    const reader = new LiveReader(url)
    await reader.snapshot()
    const metrics = async () => (await service.ask('GET', '/metrics')).text()
    expect(await metrics()).toContain('brinewatch_live_clients 1\n')
    reader.socket.close()
    await reader.closed
    await expect.poll(metrics).toContain('brinewatch_live_clients 0\n')
  })
})

describe('coming back to the live feed', () => {
  const since = (cursor: string) => new LiveReader(`${url}?since=${encodeURIComponent(cursor)}`)

  async function left() {
    const reader = new LiveReader(url)
    await reader.snapshot()
    service.room.emit(reading(1))
    await reader.until(() => reader.changes().length === 1)
    reader.socket.terminate()
    await reader.closed
    return reader.cursor
  }

  it('brings what was missed, and no snapshot', async () => {
    const cursor = await left()
    service.room.emit(reading(2), reading(3))
    const back = since(cursor)
    await back.until(() => back.changes().length === 2)
    service.room.emit(reading(4))
    await back.until(() => back.changes().length === 3)
    expect(values(back)).toEqual([2, 3, 4])
    expect(back.messages.every(message => message.type === 'changes')).toBe(true)
  })

  it('brings an empty message when nothing was missed, so that the client knows where it is', async () => {
    const cursor = await left()
    const message = await since(cursor).first()
    expect(message).toMatchObject({ type: 'changes', changes: [], cursor })
  })

  it('brings the last 10,000 changes but not one more', async () => {
    const cursor = await left()
    for (let n = 0; n < 10_000; n++) service.room.emit(reading(n))
    const back = since(cursor)
    await back.first()
    expect(values(back)).toEqual(Array.from({ length: 10_000 }, (_, n) => n))
    service.room.emit(reading(0))
    expect((await since(cursor).first()).type).toBe('snapshot')
  })

  it.each(['', 'x', 'other-run.1', '.1', 'a.b', '1'.repeat(500), '%00'])(
    'brings a snapshot for the cursor %j',
    async text => {
      expect((await since(text).first()).type).toBe('snapshot')
    },
  )

  it('brings a snapshot for a cursor from the future', async () => {
    const [epoch] = (await left()).split('.')
    expect((await since(`${epoch}.999`).first()).type).toBe('snapshot')
  })

  it('brings a snapshot after the service was started anew', async () => {
    const cursor = await left()
    const other = bench()
    const { port } = await other.web.listen('127.0.0.1', 0)
    const reader = new LiveReader(`ws://127.0.0.1:${port}/api/v1/live?since=${cursor}`)
    expect((await reader.first()).type).toBe('snapshot')
    await other.web.close()
  })
})

describe('a client that reads too slowly', () => {
  it('misses changes and then gets a fresh snapshot, while the others get everything', async () => {
    const slow = new LiveReader(url)
    const quick = new LiveReader(url)
    await Promise.all([slow.snapshot(), quick.snapshot()])
    slow.socket.pause()
    // Much more than the 1 MiB that may wait and what the kernel takes in between.
    const note = 'x'.repeat(400_000)
    const text = anAlarm({ text: note })
    const sent = 60
    for (let n = 0; n < sent; n++) {
      service.room.emit({ kind: 'alarm', alarm: text, raised: false })
      await quick.until(() => quick.changes().length === n + 1)
    }
    service.room.emit(reading(42))
    await quick.until(() => quick.changes().length === sent + 1)

    slow.socket.resume()
    await slow.until(messages => messages.filter(message => message.type === 'snapshot').length === 2, 10_000)
    expect(slow.changes().length).toBeLessThan(sent)
    expect(slow.cursor).toBe(quick.cursor)
    service.room.emit(reading(43))
    await slow.until(() => values(slow).at(-1) === 43)
    await quick.until(() => values(quick).at(-1) === 43)
    expect(values(quick)).toHaveLength(sent + 2)
  })
})

describe('the upgrade', () => {
  it('is refused to a foreign page and to a rebound name', async () => {
    for (const options of [{ origin: 'http://evil.example' }, { headers: { host: 'evil.example' } }]) {
      expect(await refusedUpgrade(url, options)).toMatchObject({
        status: 403,
        type: 'application/problem+json',
      })
    }
    expect(
      await new LiveReader(url, {
        origin: url.replace('ws:', 'http:').replace('/api/v1/live', ''),
      }).snapshot(),
    ).toBeTruthy()
  })

  it('is refused where there is no socket', async () => {
    expect(await refusedUpgrade(url.replace('live', 'nothing'))).toMatchObject({
      status: 404,
      body: { status: 404 },
    })
    expect((await refusedUpgrade(url.replace('api/v1/live', 'mqtt'), {}, ['mqtt'])).status).toBe(404)
  })

  it('is refused beyond as many clients as are allowed, and granted again when one leaves', async () => {
    const readers = Array.from({ length: MAX_CLIENTS }, () => new LiveReader(url))
    await Promise.all(readers.map(reader => reader.snapshot()))
    expect((await refusedUpgrade(url)).status).toBe(503)
    readers[0]!.socket.close()
    await readers[0]!.closed
    expect(await new LiveReader(url).snapshot()).toBeTruthy()
  })
})
