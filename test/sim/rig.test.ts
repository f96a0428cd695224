import { afterEach, describe, expect, it } from 'vitest'
import { Device } from '../../sim/device/device.ts'
import { seededRandom } from '../../sim/random.ts'
import { Rig } from '../../sim/rig.ts'
import { scenarioNamed } from '../../sim/scenarios/index.ts'
import type { Truth } from '../../sim/truth.ts'
import { World } from '../../sim/world.ts'
import { startBareBroker, until, withoutRepeats, type BareBroker } from './bare-broker.ts'

const HOUR_MS = 3_600_000
const NOON_MS = Date.UTC(2026, 0, 15, 12)
const open: { stop(): Promise<void> }[] = []
afterEach(async () => {
  for (const thing of open.splice(0).reverse()) await thing.stop()
})

interface Told {
  readonly prefix: string
  readonly atMs: number
  readonly truth: Truth
}

/** A rig on a clock that the test moves. */
async function bench(vessels: { name: string; prefix: string; ageH: number }[], intervalS = 60) {
  const heard = await startBareBroker()
  open.push(heard)
  const clock = { nowMs: NOON_MS }
  const told: Told[] = []
  const device = new Device({
    name: 'bench-1',
    password: 'x',
    host: '127.0.0.1',
    port: heard.port,
    now: () => clock.nowMs,
    random: seededRandom(1),
    outboxReadings: 50_000,
    backoff: { firstMs: 5, mostMs: 20 },
  })
  const rig = new Rig({
    device,
    vessels: vessels.map(({ name, prefix, ageH }, index) => ({
      world: new World(scenarioNamed(name), { seed: index }),
      prefix,
      beginsAtMs: NOON_MS - ageH * HOUR_MS,
    })),
    intervalS,
    now: () => clock.nowMs,
    onTruth: (prefix, atMs, truth) => told.push({ prefix, atMs, truth }),
  })
  open.push(rig)
  return { heard, clock, device, rig, told }
}

/** Moments of one channel by the broker's reckoning: the clock stands still in the test, so it is exact. */
const momentsOf = (heard: BareBroker, channel: string, nowMs: number) =>
  withoutRepeats(heard.packs).flatMap(({ pack }) =>
    pack.measurements.filter(({ name }) => name === channel).map(({ timeS }) => nowMs + timeS * 1000),
  )

describe('a rig', () => {
  it('sends its past first, at the times at which it was measured', async () => {
    const { heard, rig, device } = await bench([{ name: 'healthy', prefix: '', ageH: 12 }])
    rig.playPast()
    rig.start()
    await until('all acknowledged', () => device.acknowledged === 12 * 60 * 4)
    const expected = Array.from({ length: 720 }, (_, i) => NOON_MS - 12 * HOUR_MS + (i + 1) * 60_000)
    expect(momentsOf(heard, 'water', NOON_MS)).toEqual(expected)
    for (const { pack } of heard.packs) {
      expect(pack.rejected).toEqual([])
      expect(pack.measurements.length).toBeLessThanOrEqual(300)
    }
  })

  it('goes on with the clock, whatever its pace', async () => {
    const { heard, rig, device, clock } = await bench([{ name: 'healthy', prefix: '', ageH: 0 }])
    rig.start()
    clock.nowMs += 30 * 60_000
    await until('half an hour', () => device.acknowledged === 30 * 4)
    clock.nowMs += 6 * HOUR_MS
    await until('six hours more', () => device.acknowledged === 390 * 4)
    expect(withoutRepeats(heard.packs).flatMap(({ pack }) => pack.measurements)).toHaveLength(390 * 4)
  })

  it('watches two vessels of different age with one device', async () => {
    const { heard, rig, device } = await bench([
      { name: 'healthy', prefix: '1/', ageH: 2 },
      { name: 'lamp-dead', prefix: '2/', ageH: 5 },
    ])
    rig.playPast()
    rig.start()
    await until('all acknowledged', () => device.acknowledged === 7 * 60 * 4)
    expect(momentsOf(heard, '1/water', NOON_MS)).toHaveLength(120)
    expect(momentsOf(heard, '2/water', NOON_MS)).toHaveLength(300)
    expect(momentsOf(heard, '1/light', NOON_MS)[0]).toBe(NOON_MS - 2 * HOUR_MS + 60_000)
  })

  it('keeps what it measures while its network is out, and delivers all of it afterwards', async () => {
    const { heard, rig, device, clock } = await bench([{ name: 'network-out', prefix: '', ageH: 5.9 }])
    rig.playPast()
    rig.start()
    await until('its past', () => device.acknowledged === 354 * 4)
    clock.nowMs = NOON_MS + 2 * HOUR_MS
    await until('the last will', () => heard.states.at(-1)?.state.online === false)
    await until('measured on', () => device.outbox.size >= 115 * 4)
    expect(device.connected).toBe(false)
    clock.nowMs = NOON_MS + 4.2 * HOUR_MS
    const all = 354 + 252
    await until('all of it', () => device.acknowledged === all * 4)
    expect(device.outbox.dropped).toBe(0)
    const measured = withoutRepeats(heard.packs).flatMap(({ pack }) => pack.measurements)
    expect(measured.filter(({ name }) => name === 'water')).toHaveLength(all)
  })

  it('tells the truth to its file, and not a word of it over the link', async () => {
    const { heard, rig, device, told } = await bench([{ name: 'pump-stopped', prefix: '', ageH: 26 }], 120)
    rig.playPast()
    rig.start()
    await until('all acknowledged', () => device.acknowledged === 26 * 30 * 4)
    await until('its state', () => heard.states.length > 0)
    expect(told).toHaveLength(26 * 30)
    expect(told.at(-1)!.truth.hatchedShare).toBeGreaterThan(0.5)

    const allowed = new Set(['water', 'room', 'air', 'light'])
    const numbers = new Set<unknown>()
    for (const { pack } of heard.packs) {
      for (const { name, value } of pack.measurements) {
        expect(allowed.has(name)).toBe(true)
        numbers.add(value)
      }
    }
    const states = new Set([
      'online',
      'firmware',
      'uptimeS',
      'configRevision',
      'backlog',
      'dropped',
      'resetReason',
      'atMs',
    ])
    for (const { state } of heard.states) {
      for (const key of Object.keys(state)) expect(states.has(key)).toBe(true)
    }
    for (const { topic } of heard.payloads)
      expect(topic).toMatch(/^brinewatch\/v1\/bench-1\/(measurements|state)$/)
    // Temperatures as they really are have more digits than any probe gives.
    for (const { truth } of told) {
      for (const hidden of [truth.topC, truth.bottomC, truth.topOxygenMgpl, truth.bottomOxygenMgpl]) {
        expect(numbers.has(hidden)).toBe(false)
      }
    }
  })

  it('refuses an interval that is none', () => {
    const device = new Device({
      name: 'b',
      password: 'x',
      host: '127.0.0.1',
      port: 1,
      now: () => 0,
      random: seededRandom(1),
    })
    for (const intervalS of [NaN, 0, -1]) {
      expect(() => new Rig({ device, vessels: [], intervalS, now: () => 0 })).toThrow(
        /^Cannot sample: the interval/,
      )
    }
  })
})
