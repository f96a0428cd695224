import { readFileSync } from 'node:fs'
import { afterEach, describe, expect, it } from 'vitest'
import { QUIET } from '../../../firmware-protocol/device-alarm.ts'
import { Device } from '../../../sim/device/device.ts'
import { seededRandom } from '../../../sim/random.ts'
import { Rig } from '../../../sim/rig.ts'
import { scenarioNamed } from '../../../sim/scenarios/index.ts'
import { World } from '../../../sim/world.ts'
import { startBareBroker, until, type BareBroker } from '../bare-broker.ts'

const TOPIC = 'brinewatch/v1/bench-1/alarm'
const HOT = {
  standing: 1,
  unacknowledged: 1,
  priority: 'critical',
  sound: true,
  lampOff: true,
  hot: ['1/water'],
}
const vectors = JSON.parse(
  readFileSync(new URL('../../../firmware-protocol/vectors/alarm.json', import.meta.url), 'utf8'),
) as { good: { name: string; json: string; alarm: unknown }[]; bad: { name: string; json: string }[] }

const open: { stop(): Promise<void> }[] = []
afterEach(async () => {
  for (const thing of open.splice(0).reverse()) await thing.stop()
})

async function bench(now: () => number = () => 1_000_000) {
  const broker = await startBareBroker()
  open.push(broker)
  return { broker, device: deviceAt(broker.port, now) }
}
function deviceAt(port: number, now: () => number): Device {
  return new Device({
    name: 'bench-1',
    password: 'secret',
    host: '127.0.0.1',
    port,
    now,
    random: seededRandom(1),
    backoff: { firstMs: 10, mostMs: 50 },
  })
}
const tell = (broker: BareBroker, alarm: object) => broker.tell(TOPIC, JSON.stringify(alarm))

describe('a simulated device and its alarm topic', () => {
  it('knows what stands as soon as it connects, and sounds', async () => {
    const { broker, device } = await bench()
    await tell(broker, HOT)
    expect(device.alarm).toEqual(QUIET)
    open.push(device)
    device.start()
    await until('the retained alarm', () => device.sounding)
    expect(device.alarm).toMatchObject(HOT)
    await tell(broker, { ...HOT, unacknowledged: 0, sound: false })
    await until('the silence', () => !device.sounding)
    expect(device.alarm.lampOff).toBe(true)
    expect(device.alarmsHeard).toBe(2)
  })

  it.each(vectors.good)('reads: $name', async ({ json, alarm }) => {
    const { broker, device } = await bench()
    await broker.tell(TOPIC, json)
    open.push(device)
    device.start()
    await until('the alarm', () => device.alarmsHeard === 1)
    expect(device.alarm).toEqual(alarm)
  })

  it('holds what it was told over what it cannot read and over a lost connection, and is quiet once revoked', async () => {
    const { broker, device } = await bench()
    await tell(broker, HOT)
    open.push(device)
    device.start()
    await until('the alarm', () => device.sounding)
    for (const { json } of vectors.bad) await broker.tell(TOPIC, json)
    device.networkUp = false
    await until('the loss', () => !device.connected)
    expect(device.alarm).toMatchObject(HOT)
    await tell(broker, HOT)
    device.networkUp = true
    await until('the alarm again', () => device.alarmsHeard === 2)
    await broker.tell(TOPIC, '')
    await until('the silence', () => !device.sounding)
    expect(device.alarm).toEqual(QUIET)
  })

  it('drops the lamp of the vessel that is hot, not of its neighbour, and lights it again after a rest', async () => {
    const clock = { nowMs: Date.UTC(2026, 0, 15, 12) }
    const { broker, device } = await bench(() => clock.nowMs)
    const vessels = ['1/', '2/'].map((prefix, seed) => ({
      prefix,
      world: new World(scenarioNamed('lamp-relay'), { seed }),
      beginsAtMs: clock.nowMs,
    }))
    const [one, two] = vessels.map(({ world }) => world) as [World, World]
    const rig = new Rig({ device, vessels, intervalS: 60, now: () => clock.nowMs })
    open.push(rig)
    await tell(broker, HOT)
    rig.start()
    await until('the alarm', () => device.sounding)
    clock.nowMs += 60_000
    await until('the drop', () => one.lampRelayOpen)
    expect(two.lampRelayOpen).toBe(false)
    clock.nowMs += 60_000
    await until('the dark', () => one.truth().lightLx < 0.2 * two.truth().lightLx)
    await tell(broker, { standing: 0, unacknowledged: 0, priority: null, sound: false })
    await until('the silence', () => !device.sounding)
    clock.nowMs += 4 * 60_000
    await until('four minutes', () => one.hours > 0.09)
    expect(one.lampRelayOpen).toBe(true)
    clock.nowMs += 6 * 60_000
    await until('the light', () => !one.lampRelayOpen)
  })
})
