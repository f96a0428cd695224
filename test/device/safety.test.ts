import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { TopicKind } from '../../firmware-protocol/topics.ts'
import { Bare } from './rig/bare.ts'
import { Board, PINS, SharedClock } from './rig/board.ts'
import type { PinChange, Ran } from './rig/protocol.ts'

const MINUTE = 60_000
const clock = new SharedClock(Date.UTC(2026, 0, 1))
const quiet = { standing: 0, unacknowledged: 0, priority: null, sound: false }

let bare: Bare
let board: Board
beforeEach(async () => {
  bare = new Bare(clock)
  await bare.open()
  board = new Board(clock, { device: 'cone-1', password: 'cone-1!', port: bare.port })
  await board.powerOn()
}, 60_000)
afterEach(async () => {
  await board.powerOff()
  await bare.close()
})

const lampOf = (ran: Ran): PinChange[] => ran.pins.filter(({ pin }) => pin === PINS.lamp)
const beeps = (ran: Ran): number =>
  ran.pins.filter(({ pin, value }) => pin === PINS.buzzer && value === 1).length

describe('without any network', { timeout: 60_000 }, () => {
  beforeEach(async () => {
    await board.surround({ network: 'away', waterC: 27 })
  })

  it('keeps the lamp dark until the water was read once, then lights it', async () => {
    const lamp = lampOf(await board.run(5000))
    expect(lamp.map(({ value }) => value)).toEqual([0, 1])
    expect(lamp[1]!.atMs - lamp[0]!.atMs).toBeGreaterThan(700)
  })

  // Wherever in a conversion the heat comes: the phase decides how long it takes.
  it.each([0, 110, 230, 350, 470, 590, 710, 790])(
    'drops the lamp and sounds within 3 s of too hot water (%i ms later)',
    async phaseMs => {
      await board.run(5000 + phaseMs)
      const from = clock.now
      await board.surround({ waterC: 29.5 })
      const ran = await board.run(3000)
      expect(lampOf(ran).map(({ value }) => value)).toEqual([0])
      expect(lampOf(ran)[0]!.atMs - from).toBeLessThan(3000)
      expect(beeps(ran)).toBeGreaterThan(0)
    },
  )

  it('does not drop it for a single odd reading', async () => {
    await board.run(5000)
    await board.surround({ waterC: 40 })
    await board.run(800, 20)
    await board.surround({ waterC: 27 })
    expect(lampOf(await board.run(10_000))).toEqual([])
  })

  it('lights it again when the water is half a degree cooler, and not within 5 min', async () => {
    await board.run(5000)
    await board.surround({ waterC: 29.6 })
    await board.run(3000)
    await board.surround({ waterC: 29.1 })
    expect(lampOf(await board.run(10 * MINUTE, 250))).toEqual([])
    const from = clock.now
    await board.surround({ waterC: 28.8 })
    const lamp = lampOf(await board.run(6 * MINUTE, 250))
    expect(lamp.map(({ value }) => value)).toEqual([1])
    expect(lamp[0]!.atMs - from).toBeGreaterThanOrEqual(5 * MINUTE)
    await board.surround({ waterC: 29.6 })
    expect(lampOf(await board.run(3000)).map(({ value }) => value)).toEqual([0])
  })

  it('drops the lamp when the water could not be read for 5 min, and sounds', async () => {
    await board.run(5000)
    await board.surround({ waterC: null })
    const from = clock.now
    const ran = await board.run(6 * MINUTE, 250)
    expect(lampOf(ran).map(({ value }) => value)).toEqual([0])
    expect(lampOf(ran)[0]!.atMs - from).toBeGreaterThan(4.9 * MINUTE)
    expect(beeps(ran)).toBeGreaterThan(10)
  })

  it('sounds when no broker has answered for ten minutes, and a press of the button hushes it', async () => {
    expect(beeps(await board.run(9.9 * MINUTE, 250))).toBe(0)
    expect(beeps(await board.run(MINUTE, 100))).toBeGreaterThan(5)
    await board.surround({ isButtonPressed: true })
    await board.run(200)
    await board.surround({ isButtonPressed: false })
    expect(beeps(await board.run(9 * MINUTE, 250))).toBe(0)
    expect(beeps(await board.run(2 * MINUTE, 100))).toBeGreaterThan(5)
  })
})

describe('what the broker says', { timeout: 60_000 }, () => {
  const hot = {
    ...{ standing: 1, unacknowledged: 1, priority: 'critical', sound: true, lampOff: true, hot: ['water'] },
    rules: ['water-too-hot'],
  }

  it('sounds and drops the lamp with its alarm, and waits five minutes after it', async () => {
    await board.run(6000)
    await bare.tell(TopicKind.alarm, hot)
    const ran = await board.run(2000)
    expect(lampOf(ran).map(({ value }) => value)).toEqual([0])
    expect(beeps(ran)).toBeGreaterThan(0)
    await bare.tell(TopicKind.alarm, { ...hot, unacknowledged: 0, sound: false })
    expect(beeps(await board.run(5000))).toBeLessThanOrEqual(1)
    await bare.tell(TopicKind.alarm, quiet)
    const from = clock.now
    const lamp = lampOf(await board.run(6 * MINUTE, 250))
    expect(lamp.map(({ value }) => value)).toEqual([1])
    expect(lamp[0]!.atMs - from).toBeGreaterThanOrEqual(5 * MINUTE - 250)
  })

  it('keeps the lamp off over a lost connection', async () => {
    await board.run(6000)
    await bare.tell(TopicKind.alarm, hot)
    await board.run(2000)
    await board.surround({ network: 'away' })
    await board.cut()
    expect(lampOf(await board.run(20 * MINUTE, 500))).toEqual([])
  })

  it('leaves a lamp alone that is not over the hot water', async () => {
    await board.run(6000)
    await bare.tell(TopicKind.alarm, { ...hot, hot: ['2/water'] })
    expect(lampOf(await board.run(3000))).toEqual([])
  })

  it.each([
    ['no JSON', '{"standing":1'],
    ['sound as a number', JSON.stringify({ ...hot, sound: 1 })],
    ['a priority of its own', JSON.stringify({ ...hot, priority: 'urgent' })],
    ['a list', '[]'],
  ])('ignores an alarm that does not fit: %s', async (_, payload) => {
    await board.run(6000)
    await bare.tell(TopicKind.alarm, payload)
    const ran = await board.run(3000)
    expect(lampOf(ran)).toEqual([])
    expect(beeps(ran)).toBe(0)
    expect(ran.isUp).toBe(true)
  })

  it('applies a config, tells its revision, and keeps it over a power cut', async () => {
    await board.run(6000)
    await bare.tell(TopicKind.config, {
      ...{ revision: 7, sampleIntervalS: 4, reportIntervalS: 8, stateIntervalS: 10, silentBrokerMinutes: 0 },
      limits: { water: { high: 31 }, air: { low: 0.5 } },
    })
    await board.run(20_000, 50)
    bare.outlet.packs.length = 0
    await board.run(60_000, 50)
    expect((await bare.state()).configRevision).toBe(7)
    expect(bare.gapsS('light').length).toBeGreaterThan(10)
    for (const gap of bare.gapsS('light')) expect(gap).toBeCloseTo(4, 1)
    await board.powerOff()
    await board.powerOn()
    await board.surround({ network: 'away', waterC: 30, airLpm: 0.1 })
    // 30 °C is under the limit that was set, 0.1 l/min is not.
    const ran = await board.run(30_000, 50)
    expect(lampOf(ran).map(({ value }) => value)).toEqual([0, 1])
    expect(beeps(ran)).toBeGreaterThan(0)
  })

  it.each([
    ['an interval of none', { revision: 8, sampleIntervalS: 0 }],
    ['limits the wrong way round', { revision: 8, limits: { water: { low: 30, high: 29 } } }],
    ['half a revision', { revision: 8.5 }],
    ['text for a number', { revision: 8, reportIntervalS: '5' }],
  ])('does not apply a config that does not fit: %s', async (_, config) => {
    await board.run(6000)
    await bare.tell(TopicKind.config, config)
    await board.run(15_000, 50)
    expect((await bare.state()).configRevision).toBe(0)
  })

  it('obeys commands: identify blinks, report sends now, restart keeps the outbox', async () => {
    const seldom = { sampleIntervalS: 600, reportIntervalS: 3600, silentBrokerMinutes: 0 }
    await bare.tell(TopicKind.config, { revision: 1, ...seldom })
    await board.run(10_000, 50)
    const before = bare.outlet.packs.length
    await board.run(60_000, 50)
    expect(bare.outlet.packs.length).toBe(before)
    await bare.tell(TopicKind.command, { command: 'report' })
    await board.run(2000)
    expect(bare.outlet.packs.length).toBe(before + 1)
    await bare.tell(TopicKind.command, { command: 'identify', seconds: 10 })
    const blinks = (await board.run(8000)).pins.filter(({ pin, value }) => pin === PINS.led && value === 1)
    expect(blinks.length).toBeGreaterThan(20)
    await board.surround({ network: 'up' })
    await bare.tell(TopicKind.command, { command: 'restart' })
    expect((await board.run(3000)).isRestarting).toBe(true)
  })

  it('lives through the longest alarm, and skips what is longer', async () => {
    await board.run(6000)
    const channels = Array.from(
      { length: 64 },
      (_, i) => `${String(i).padStart(3, '0')}${'x'.repeat(119)}/water`,
    )
    await bare.tell(TopicKind.alarm, { ...hot, hot: [...channels.slice(1), 'water'], text: 'x'.repeat(160) })
    expect(lampOf(await board.run(3000)).map(({ value }) => value)).toEqual([0])
    await bare.tell(TopicKind.alarm, { ...quiet, text: 'x'.repeat(20_000) })
    const ran = await board.run(30_000, 50)
    expect(ran.isUp).toBe(true)
    expect(lampOf(ran)).toEqual([])
  })
})
