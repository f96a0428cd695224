import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { account, type Account } from './rig/accounts.ts'
import { Board, ResetCause, SharedClock } from './rig/board.ts'
import type { Ran, Sampled } from './rig/protocol.ts'
import { Service } from './rig/room.ts'

const START = Date.UTC(2026, 0, 1)
/** The firmware's channels, in the order of its sensors: those on the probes' line come last. */
const INDEX = { light: 0, air: 1, water: 2, room: 3 } as const
const MINUTE = 60_000

describe('the reference firmware and the service', { timeout: 60_000 }, () => {
  let clock: SharedClock
  let service: Service
  let board: Board
  let sampled: Sampled[]

  beforeEach(async () => {
    clock = new SharedClock(START)
    service = new Service(clock)
    await service.addDevice('cone-1', 'a password')
    await service.open()
    board = new Board(clock, {
      device: 'cone-1',
      password: 'a password',
      isToldTime: true,
      port: service.port,
    })
    sampled = []
    // The tick counter wraps 20 s after power-up.
    await board.powerOn(ResetCause.powerOn, 2 ** 30 - 20_000)
    // Each second has its own number of lux, so that each sampling can be told from all others.
    await board.surround({ lux: 'seconds' })
  }, 60_000)
  afterEach(async () => {
    await board.powerOff()
    await service.close()
    service.remove()
  })

  async function run(forMs: number, stepMs = 100): Promise<Ran> {
    const ran = await board.run(forMs, stepMs)
    sampled.push(...ran.sampled)
    return ran
  }
  /** Lets the device tell all that it has, and compares that with what is on disk. */
  async function settle(): Promise<Record<keyof typeof INDEX, Account>> {
    for (let i = 0; i < 40 && Number(await board.python('rig.monitor.outbox.backlog')) > 24; i++)
      await run(5000)
    await board.surround({ network: 'deaf' })
    // What was sampled a moment ago is on the device still: it is no loss, and not looked for.
    const waiting = Number(await board.python('rig.monitor.outbox.backlog')) / 4
    await board.powerOff()
    await service.close()
    const told = sampled.slice(0, sampled.length - waiting)
    const all: Partial<Record<keyof typeof INDEX, Account>> = {}
    for (const channel of ['light', 'air', 'water', 'room'] as const)
      all[channel] = account(told, await service.samples('cone-1', channel), channel, INDEX[channel])
    return all as Record<keyof typeof INDEX, Account>
  }
  const whole = { missing: [], surplus: [] }

  it('brings every reading to the store, in its place', async () => {
    expect((await run(2 * MINUTE)).isUp).toBe(true)
    const { light, water, air, room } = await settle()
    for (const each of [light, water, air, room]) expect(each).toMatchObject(whole)
    expect(light.stored).toBeGreaterThan(100)
    expect(Math.max(light.worstMs, water.worstMs)).toBeLessThan(100)
  })

  it('loses nothing when the connection ends, and keeps its place in time', async () => {
    await run(MINUTE)
    await board.cut()
    await board.surround({ network: 'away' })
    expect((await run(10 * MINUTE)).isUp).toBe(false)
    await board.surround({ network: 'up' })
    await run(MINUTE)
    const { light } = await settle()
    expect(light).toMatchObject(whole)
    expect(light.stored).toBeGreaterThan(700)
    expect(light.worstMs).toBeLessThan(100)
  })

  it('sends again what was not acknowledged, and the store keeps it once', async () => {
    await run(20_000)
    // What it says arrives; the acknowledgement does not.
    await board.surround({ network: 'mute' })
    await run(MINUTE)
    await board.surround({ network: 'up' })
    await run(3 * MINUTE)
    const metrics = await fetch(`${service.http}/metrics`).then(response => response.text())
    expect(Number(/repeats\S* (\d+)/.exec(metrics)?.[1])).toBeGreaterThan(0)
    const { light } = await settle()
    expect(light).toMatchObject(whole)
  })

  it('keeps what is unsent over a power cut, but for what was in memory, and knows when it was', async () => {
    await run(MINUTE)
    await board.surround({ network: 'away' })
    await board.cut()
    await run(5 * MINUTE)
    const unsaved = Number(await board.python('rig.monitor.outbox.unsaved')) / 4
    await board.powerOff()
    // Nobody knows how long the power was gone: the clock of the board stood still.
    clock.advance(47 * MINUTE)
    await board.powerOn(ResetCause.powerOn)
    await board.surround({ lux: 'seconds' })
    await run(2 * MINUTE)
    const dropped = Number(await board.python('rig.monitor.outbox.dropped'))
    const { light } = await settle()
    expect(light.surplus).toEqual([])
    expect(light.missing).toHaveLength(unsaved)
    // The rule: what was measured in the last half minute, and a pass of the loop.
    expect(unsaved).toBeLessThanOrEqual(31)
    expect(dropped).toBe(0)
    expect(light.worstMs).toBeLessThan(1000)
  })

  it('sends again after a power cut what was under way, with the number it had', async () => {
    await run(20_000)
    await board.surround({ network: 'mute' })
    // Long enough that the pack under way moves to the flash.
    await run(50_000)
    const unsaved = Number(await board.python('rig.monitor.outbox.unsaved')) / 4
    await board.powerOff()
    clock.advance(MINUTE)
    await board.powerOn(ResetCause.watchdog)
    await board.surround({ lux: 'seconds' })
    await run(MINUTE)
    const { light } = await settle()
    expect(light.surplus).toEqual([])
    expect(light.missing.length).toBeLessThanOrEqual(unsaved)
  })
})
