import fc from 'fast-check'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { readFileSync } from 'node:fs'
import { deviceConfig } from '../../firmware-protocol/device-config.ts'
import { decodePack } from '../../firmware-protocol/pack.ts'
import { Board, SharedClock } from './rig/board.ts'
import { crc8 } from './rig/sensors.ts'

// Parts of the firmware, called one at a time in the interpreter.
const board = new Board(new SharedClock(0), { device: 'cone-1', password: 'x', port: 1 })
beforeAll(() => board.powerOn(), 60_000)
afterAll(() => board.powerOff())

/** Calls a function of the rig's `logic`, with arguments that JSON and Python write alike, or as JSON text. */
async function call(name: string, ...args: unknown[]): Promise<string> {
  const json = JSON.stringify(JSON.stringify(args))
  return board.python(`__import__("logic").${name}(*__import__("json").loads(${json}))`)
}

const CHANNELS = [
  ['1/water', 'Cel', 625, 4],
  ['air', 'l/min', 1, 3],
  ['light', 'lx', 1, 0],
]
const FAULTS = ['disconnected', 'power-on', 'fault']

describe('a pack as JSON', () => {
  const value = fc.oneof(
    { weight: 6, arbitrary: fc.integer({ min: -60_000, max: 60_000 }) },
    { weight: 1, arbitrary: fc.constantFrom(...FAULTS, null) },
  )
  const samplings = fc
    .array(fc.tuple(fc.integer({ min: 0, max: 40_000 }), fc.tuple(value, value, value)), {
      minLength: 1,
      maxLength: 30,
    })
    .map(steps => {
      let atMs = 1000
      return steps.map(([step, values]) => [(atMs += step), values] as const)
    })

  it('says what was sampled, when, and in which unit', async () => {
    await fc.assert(
      fc.asyncProperty(samplings, fc.integer({ min: 0, max: 10_000_000 }), async (taken, laterMs) => {
        const nowMs = taken.at(-1)![0] + laterMs
        const pack = decodePack(Buffer.from(await call('pack_as_json', CHANNELS, taken, nowMs, null)))
        const expected = CHANNELS.flatMap(([name, unit], index) =>
          taken.flatMap(([atMs, values]) => {
            const raw = values[index]!
            if (raw === null) return []
            const scaled = typeof raw === 'string' ? raw : raw / [16, 1000, 1][index]!
            return [{ name, unit, value: scaled, atMs }]
          }),
        )
        expect(pack).toMatchObject({ boot: '0badcafe', seq: 7, rejected: [] })
        expect(pack.uptimeS).toBeCloseTo(nowMs / 1000, 6)
        expect(pack.measurements.map(({ name, unit, value }) => ({ name, unit, value }))).toEqual(
          expected.map(({ name, unit, value }) => ({ name, unit, value })),
        )
        for (const [i, { timeS }] of pack.measurements.entries())
          expect(Math.abs(timeS * 1000 - (expected[i]!.atMs - nowMs))).toBeLessThanOrEqual(10)
      }),
      { numRuns: 100 },
    )
  })

  it('is placed in Unix time when it is of an earlier power-up, and then tells no uptime', async () => {
    const text = await call('pack_as_json', CHANNELS, [[61_500, [432, 1800, 2000]]], 5, 1_767_225_600_123)
    const pack = decodePack(Buffer.from(text))
    expect(pack.uptimeS).toBeNull()
    for (const { timeS } of pack.measurements) expect(timeS).toBeCloseTo(1_767_225_661.623, 3)
  })

  it('fits its buffer at its longest, with one channel and with many', async () => {
    for (const names of [['water'], Array.from({ length: 16 }, (_, i) => `${i}/${'w'.repeat(29)}`)]) {
      const [readings, length, room] = JSON.parse(await call('largest_pack', names)) as number[]
      expect(readings).toBeGreaterThan(10)
      expect(length).toBeLessThanOrEqual(room!)
    }
  })
})

describe('a probe', () => {
  const pad = (low: number, high: number, config = 0x7f) => {
    const bytes = [low, high, 0x4b, 0x46, config, 0xff, 0x0c, 0x10]
    return [...bytes, crc8(bytes)]
  }
  // DS18B20 datasheet, table 1, "Temperature/data relationship".
  it.each([
    [0x07, 0xd0, 125],
    [0x01, 0x91, 25.0625],
    [0x00, 0xa2, 10.125],
    [0x00, 0x08, 0.5],
    [0xff, 0xf8, -0.5],
    [0xff, 0x5e, -10.125],
    [0xfc, 0x90, -55],
  ])('reads %i %i as %f °C', async (high, low, celsius) => {
    expect(JSON.parse(await call('probe', pad(low, high)))).toBe(celsius * 16)
  })
  it.each([
    ['the power-on value', pad(0x50, 0x05), 'power-on'],
    ['nobody on the line', Array<number>(9).fill(0xff), 'disconnected'],
    ['no answer at the start', null, 'disconnected'],
    ['a shorted line, which passes the sum', Array<number>(9).fill(0), 'fault'],
    ['a bit that changed on the way', pad(0x91, 0x01).map((byte, i) => (i === 0 ? byte ^ 1 : byte)), 'fault'],
    ['bits of the configuration that cannot be', pad(0x91, 0x01, 0x00), 'fault'],
    ['below what it can measure', pad(0x00, 0xf0), 'fault'],
  ])('tells %s', async (_, bytes, fault) => {
    expect(JSON.parse(await call('probe', bytes))).toBe(fault)
  })
  it('has the sum of the datasheet', () => {
    // Maxim application note 27: the ROM 02 1C B8 01 00 00 00 has the CRC A2.
    expect(crc8([0x02, 0x1c, 0xb8, 0x01, 0, 0, 0])).toBe(0xa2)
  })
})

describe('waiting', () => {
  it('doubles up to a minute, each with chance in it', async () => {
    const least = JSON.parse(await call('waits', 0, 9)) as number[]
    const most = JSON.parse(await call('waits', 0.999999, 9)) as number[]
    expect(least).toEqual([500, 1000, 2000, 4000, 8000, 16_000, 30_000, 30_000, 30_000])
    for (const [i, ms] of most.entries()) expect(ms).toBe(least[i]! * 2)
  })
  it('counts on when the ticks begin anew', async () => {
    const half = 2 ** 29
    const ticks = [2 * half - 100, 50, half - 100, half + 100, 2 * half - 1, 0]
    expect(JSON.parse(await call('clock_over', ticks))).toEqual([
      0,
      150,
      half,
      half + 200,
      2 * half + 99,
      2 * half + 100,
    ])
  })
})

describe('a config', () => {
  const anything = fc.oneof(
    fc.integer({ min: -5, max: 5000 }),
    fc.double(),
    fc.string(),
    fc.boolean(),
    fc.constant(null),
  )
  const limit = fc.record(
    { low: fc.double({ noNaN: true }), high: fc.double({ noNaN: true }) },
    { requiredKeys: [] },
  )
  it('is taken exactly when the contract takes it', async () => {
    const fields = ['revision', 'sampleIntervalS', 'reportIntervalS', 'stateIntervalS', 'silentBrokerMinutes']
    const config = fc.record(
      {
        ...Object.fromEntries(
          fields.map(field => [
            field,
            fc.oneof(
              { weight: 3, arbitrary: fc.integer({ min: 10, max: 1000 }) },
              { weight: 1, arbitrary: anything },
            ),
          ]),
        ),
        limits: fc.oneof(
          { weight: 5, arbitrary: fc.dictionary(fc.constantFrom('water', 'air'), limit) },
          { weight: 1, arbitrary: anything },
        ),
      },
      { requiredKeys: [] },
    )
    await fc.assert(
      fc.asyncProperty(config, async said => {
        const text = JSON.stringify(said)
        const takes = JSON.parse(await call('takes_config', text)) as boolean
        expect(takes).toBe(deviceConfig.safeParse(JSON.parse(text)).success)
      }),
      { numRuns: 200 },
    )
  })
})

describe('the outbox', () => {
  it('keeps so many packs in memory when the flash fails, drops the oldest that was not sent, and counts', async () => {
    const [backlog, dropped, failed, seq] = JSON.parse(await call('without_flash', 2000)) as number[]
    expect(backlog! + dropped!).toBe(2000)
    expect(dropped).toBeGreaterThan(1000)
    expect(failed).toBe(true)
    // The pack that was under way is the first still.
    expect(seq).toBe(0)
  })

  it.each([0, 1, 2, 25, 60])('reads all but the pack whose writing was cut short by %i bytes', async cut => {
    const { found, left } = JSON.parse(await call('cut_short', 5, cut)) as {
      found: unknown[]
      left: string[]
    }
    // A pack of ten readings has 21 bytes of them, and 18 around them.
    const whole = 5 - Math.ceil(cut / 39)
    expect(found).toEqual(Array.from({ length: whole }, (_, seq) => ['aaaaaaaa', seq, 10, true]))
    expect(left).toEqual([])
  })
})

describe('the first start', () => {
  it('asks for what must be known, again where nothing was said, and keeps it with the usual pins', async () => {
    const answers = ['', 'fish room', 'secret', '', '192.168.1.20', '', 'cone-1', 'a password']
    const { kept } = JSON.parse(await call('first_run', answers)) as { kept: any }
    expect(kept).toMatchObject({
      wifi: { name: 'fish room', password: 'secret' },
      ...{ broker: '192.168.1.20', port: 1883, device: 'cone-1', password: 'a password', flash_kb: 512 },
    })
    expect(kept.channels.map(({ name }: { name: string }) => name)).toContain('water')
  })

  it('says why a code got it nowhere, and asks again', async () => {
    const byHand = ['fish room', 'secret', '', '192.168.1.20', '', 'cone-1', 'a password']
    const answers = ['fish rom', 'secret', 'K7QM-2XVD', '192.168.1.20:8080', ...byHand]
    const { asked, kept } = JSON.parse(await call('first_run', answers)) as { asked: string[]; kept: any }
    expect(asked.join('\n')).toContain('could not be joined')
    expect(kept.wifi.name).toBe('fish room')
  })

  const whole = { device: 'a', password: 'b', broker: 'c' }
  it.each([
    [{ ...whole, device: '' }, 'device must be text'],
    [{ ...whole, broker: 7 }, 'broker must be text'],
    [{ ...whole, channels: [{ name: 'water', kind: 'thermometer', pin: 4 }] }, 'a channel is one of'],
    [
      {
        ...whole,
        channels: [
          { name: 'x', kind: 'probe' },
          { name: 'x', kind: 'probe' },
        ],
      },
      'different names',
    ],
    [{ ...whole, channels: [] }, '1 to 16 channels, got 0'],
    [whole, ''],
  ])('says what is wrong with settings: %j', async (settings, problem) => {
    expect(await call('check_settings', JSON.stringify(settings))).toContain(problem)
  })
})

describe('the vectors', () => {
  it('of the alarm topic are taken and ignored as the contract says', async () => {
    // What must be ignored for its form; that counts contradict each other does not matter to a buzzer.
    const { good } = JSON.parse(
      readFileSync(new URL('../../firmware-protocol/vectors/alarm.json', import.meta.url), 'utf8'),
    ) as { good: { json: string; alarm: { sound: boolean; priority: string } }[] }
    for (const { json, alarm } of good) {
      const sound = await board.python(
        `(rig.monitor._hear("alarm", ${JSON.stringify(json)}.encode(), True), rig.monitor.safety._alarm_sound)[1]`,
      )
      expect(sound).toBe(alarm.sound ? alarm.priority : 'None')
    }
  })
})
