import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { Bare } from './rig/bare.ts'
import { Board, PINS, SharedClock } from './rig/board.ts'
import type { Surroundings } from './rig/protocol.ts'

const clock = new SharedClock(Date.UTC(2026, 0, 1))
let bare: Bare
let board: Board
beforeEach(async () => {
  bare = new Bare(clock)
  await bare.open()
  board = new Board(clock, {
    ...{ device: 'cone-1', password: 'cone-1!', port: bare.port },
    // Neither probe has its number in the settings: they are taken in the order of their numbers.
    channels: [
      { name: 'water', kind: 'probe', pin: 4 },
      { name: 'top/water', kind: 'probe', pin: 4 },
      { name: 'light', kind: 'light', scl: 22, sda: 21 },
      { name: 'air', kind: 'flow', pin: PINS.flow, pulses_per_litre: 100 },
      { name: 'air-pressure', kind: 'pressure', pin: 34, zero_mv: 200, pa_per_mv: 4 },
      { name: 'level', kind: 'level', pin: 14, wet: 0 },
    ],
  })
  await board.powerOn()
}, 60_000)
afterEach(async () => {
  await board.powerOff()
  await bare.close()
})

/** What came last of each channel. */
function last(): Record<string, number | string | null> {
  const all = bare.outlet.packs.flatMap(pack => pack.readings)
  return Object.fromEntries(all.map(({ channel, value, quality }) => [channel, value ?? quality]))
}
async function after(change: Partial<Surroundings>, forMs = 12_000) {
  await board.surround(change)
  await board.run(forMs, 50)
  return last()
}

describe('what is measured', { timeout: 60_000 }, () => {
  it('comes from every kind of sensor, in its unit', async () => {
    const found = await after({ waterC: 27.0625, roomC: 21.5, lux: 1234, airLpm: 1.8 }, 20_000)
    expect(found).toMatchObject({ water: 27.0625, 'top/water': 21.5, light: 1234 })
    expect(found.air).toBeCloseTo(1.8, 0)
    // 500 mV, of which 200 at no pressure, at 4 Pa a millivolt.
    expect(found['air-pressure']).toBe(1200)
    expect(found.level).toBe(1)
    const units = bare.outlet.packs.flatMap(pack => pack.readings.map(({ channel, unit }) => [channel, unit]))
    expect(Object.fromEntries(units)).toMatchObject({ 'air-pressure': 'Pa', air: 'l/min', light: 'lx' })
  })

  it('is a level only when it has been so for two seconds', async () => {
    await after({}, 10_000)
    await after({ level: 1 }, 1000)
    expect((await after({ level: 0 }, 10_000)).level).toBe(1)
    expect((await after({ level: 1 }, 10_000)).level).toBe(0)
  })

  it('is told as a fault where it cannot be read, and comes back', async () => {
    await after({}, 10_000)
    expect((await after({ waterC: null })).water).toBe('disconnected')
    expect((await after({ waterC: 26 }, 40_000)).water).toBe(26)
    expect((await after({ waterPad: 'flipped' })).water).toBe('reported-fault')
    expect((await after({ waterPad: 'zeros' })).water).toBe('reported-fault')
    expect((await after({ waterPad: 'whole' })).water).toBe(26)
    expect((await after({ lux: null })).light).toBe('disconnected')
    expect((await after({ lux: 50_000 })).light).toBe(50_000)
    // Few pulses are counted for five seconds, and the count that was under way has some.
    expect((await after({ airLpm: 0 }, 20_000)).air).toBe(0)
    // The other probe was not troubled by any of it.
    const top = bare.outlet.packs
      .flatMap(pack => pack.readings)
      .filter(({ channel }) => channel === 'top/water')
    expect(new Set(top.map(({ quality }) => quality))).toEqual(new Set(['good']))
  })
})
