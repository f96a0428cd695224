import { afterEach, describe, expect, it } from 'vitest'
import { Device } from '../../../sim/device/device.ts'
import { buzzOf } from '../../../sim/device/buzzer.ts'
import { OwnLimits } from '../../../sim/device/own-limits.ts'
import { seededRandom } from '../../../sim/random.ts'
import { startBareBroker, until, type BareBroker } from '../bare-broker.ts'

const MINUTE = 60_000
const CONFIG = 'brinewatch/v1/bench-1/config'
const ALARM = 'brinewatch/v1/bench-1/alarm'
const open: { stop(): Promise<void> }[] = []
afterEach(async () => {
  for (const thing of open.splice(0).reverse()) await thing.stop()
})

/** A device on a clock that the test moves; it never waits in real time. */
async function bench() {
  const broker = await startBareBroker()
  open.push(broker)
  const clock = { nowMs: 1_000_000 }
  const device = new Device({
    name: 'bench-1',
    password: 'secret',
    host: '127.0.0.1',
    port: broker.port,
    now: () => clock.nowMs,
    random: seededRandom(1),
    backoff: { firstMs: 10, mostMs: 50 },
  })
  open.push(device)
  const sample = (value: number, name = 'water') =>
    device.sample({ atMs: clock.nowMs, readings: [{ name, unit: 'Cel', value }] })
  return { broker, clock, device, sample }
}
const settle = (broker: BareBroker, config: object) => broker.tell(CONFIG, JSON.stringify(config))

describe('a device that no broker hears', () => {
  it('sounds ten minutes after its power-up when it never reached one, to the millisecond', async () => {
    const { clock, device } = await bench()
    clock.nowMs += 10 * MINUTE - 1
    expect(device.buzz).toBeNull()
    clock.nowMs += 1
    expect(device.buzz).toBe('silent-broker')
  })

  it('counts from the last acknowledged pack, and stops with the next', async () => {
    const { broker, clock, device, sample } = await bench()
    device.start()
    await until('the link', () => device.connected)
    clock.nowMs += 9 * MINUTE
    sample(27)
    await until('the acknowledgement', () => device.acknowledged === 1)
    clock.nowMs += 10 * MINUTE - 1
    expect(device.buzz).toBeNull()
    broker.withhold = true
    sample(27)
    await until('the pack', () => broker.packs.length === 2)
    clock.nowMs += 1
    expect(device.buzz).toBe('silent-broker')
    broker.withhold = false
    device.networkUp = false
    device.networkUp = true
    await until('the acknowledgement', () => device.acknowledged === 2)
    expect(device.buzz).toBeNull()
  })

  it('is not heard by a connection, by messages from the broker, or by an acknowledged state', async () => {
    const { broker, clock, device } = await bench()
    device.start()
    await until('the link', () => device.connected && broker.states.length > 0)
    clock.nowMs += 10 * MINUTE
    await broker.tell(ALARM, JSON.stringify({ standing: 0, unacknowledged: 0, priority: null, sound: false }))
    await settle(broker, { revision: 1 })
    await until('both', () => device.alarmsHeard > 0 && device.config.revision === 1)
    await until('the state with the new settings', () =>
      broker.states.some(({ state }) => state['configRevision'] === 1),
    )
    expect(device.connected).toBe(true)
    expect(device.buzz).toBe('silent-broker')
  })

  it('goes by the minutes that it was told, and by none when they are 0', async () => {
    const { broker, clock, device } = await bench()
    device.start()
    await settle(broker, { revision: 1, silentBrokerMinutes: 2 })
    await until('the settings', () => device.config.revision === 1)
    clock.nowMs += 2 * MINUTE
    expect(device.buzz).toBe('silent-broker')
    // What cannot be is refused as a whole: a silence no longer than two reports.
    await settle(broker, { revision: 2, silentBrokerMinutes: 1, reportIntervalS: 30 })
    await settle(broker, { revision: 3, silentBrokerMinutes: 0 })
    await until('the settings', () => device.config.revision === 3)
    expect(device.buzz).toBeNull()
    clock.nowMs += 1000 * MINUTE
    expect(device.buzz).toBeNull()
  })

  it('is quiet after its button was pressed, until the next silence', async () => {
    const { broker, clock, device, sample } = await bench()
    clock.nowMs += 10 * MINUTE
    device.pressButton()
    clock.nowMs += 60 * MINUTE
    expect(device.buzz).toBeNull()
    device.start()
    sample(27)
    await until('the acknowledgement', () => device.acknowledged === 1)
    broker.withhold = true
    clock.nowMs += 10 * MINUTE
    expect(device.buzz).toBe('silent-broker')
  })

  it('holds what the alarm topic said last beside it', async () => {
    const { broker, clock, device } = await bench()
    device.start()
    const high = { standing: 1, unacknowledged: 1, priority: 'high', sound: true, lampOff: true }
    await broker.tell(ALARM, JSON.stringify(high))
    await until('the alarm', () => device.alarmsHeard > 0)
    device.networkUp = false
    clock.nowMs += 20 * MINUTE
    expect(device.buzz).toBe('high')
    expect(device.alarm.lampOff).toBe(true)
  })
})

describe('the limits of its own', () => {
  const limits = { water: { high: 29.4, low: 20 } }
  const water = (value: number) => [{ name: 'water', unit: 'Cel', value }]

  it('sound after three samples in a row beyond them, and stop after three within', () => {
    const own = new OwnLimits()
    const sounds = (...values: number[]) => values.map(value => (own.take(water(value), limits), own.sounds))
    expect(sounds(29.5, 29.5, 29.4, 29.5, 29.5, 29.5)).toEqual([false, false, false, false, false, true])
    expect(sounds(29.4, 29.4, 29.5, 20, 20, 20)).toEqual([true, true, true, true, true, false])
    expect(sounds(19.9, 19.9, 19.9)).toEqual([false, false, true])
    // No temperatures: they neither sound nor stop.
    expect(sounds(-127, 85, NaN, -127)).toEqual([true, true, true, true])
    own.hush()
    expect(sounds(19, 19)).toEqual([false, false])
    expect(sounds(25, 25, 25, 19, 19, 19)).toEqual([false, false, false, false, false, true])
    own.take([], {})
    expect(own.sounds).toBe(false)
  })

  it('are told over the link, sound without it, and are silenced by an answer only while somebody watches', async () => {
    const { broker, clock, device, sample } = await bench()
    device.start()
    await settle(broker, { revision: 1, limits })
    await until('the settings', () => device.config.revision === 1)
    device.networkUp = false
    for (let n = 0; n < 3; n++) sample(31)
    expect(device.buzz).toBe('own-limit')
    device.networkUp = true
    const answered = { standing: 1, unacknowledged: 0, priority: 'critical', sound: false }
    clock.nowMs += 10 * MINUTE
    broker.withhold = true
    await until('the link', () => device.connected)
    await broker.tell(ALARM, JSON.stringify(answered))
    await until('the alarm', () => device.alarmsHeard > 0)
    expect(device.buzz).toBe('own-limit')
    device.networkUp = false
    broker.withhold = false
    device.networkUp = true
    await until('the acknowledgement', () => device.acknowledged === 3)
    await broker.tell(ALARM, JSON.stringify({ ...answered, standing: 2 }))
    await until('the answer', () => device.alarm.standing === 2)
    expect(device.buzz).toBeNull()
  })
})

it('plays one pattern, the most urgent', () => {
  const told = (priority: 'critical' | 'high' | 'low') => ({ sound: true, priority })
  const both = { limitSounds: true, silenceSounds: true }
  const silence = { limitSounds: false, silenceSounds: true }
  const neither = { limitSounds: false, silenceSounds: false }
  expect(buzzOf(told('critical'), both)).toBe('critical')
  expect(buzzOf(told('high'), both)).toBe('own-limit')
  expect(buzzOf(told('high'), silence)).toBe('high')
  expect(buzzOf(told('low'), silence)).toBe('silent-broker')
  expect(buzzOf(told('low'), neither)).toBe('low')
  expect(buzzOf({ sound: false, priority: 'critical' }, neither)).toBeNull()
})

describe('the settings of a device', () => {
  it('say how often it reports: all that was sampled since goes in one pack', async () => {
    const { broker, clock, device, sample } = await bench()
    device.start()
    await settle(broker, { revision: 4, sampleIntervalS: 1, reportIntervalS: 10 })
    await until('the settings', () => device.config.revision === 4)
    sample(27)
    await until('the first', () => device.acknowledged === 1)
    for (let n = 0; n < 10; n++) {
      clock.nowMs += 1000
      sample(27)
    }
    await until('the rest', () => device.acknowledged === 11)
    expect(broker.packs.map(({ pack }) => pack.measurements.length)).toEqual([1, 10])
  })
})
