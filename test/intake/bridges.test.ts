import { spawn } from 'node:child_process'
import { existsSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { type AdoptedTopic, readAdopted } from '../../broker/intake/adopted.ts'
import { MOST_REFUSED, MOST_SEEN, numbersOf, SeenTopics } from '../../broker/intake/seen-topics.ts'
import { Bench, registry } from './bench.ts'
import { NOW, sleep, until } from './fakes.ts'

const MOSQUITTO_PUB = ['/usr/bin/mosquitto_pub', '/usr/local/bin/mosquitto_pub'].find(existsSync)

const adopted = (more: Partial<AdoptedTopic> = {}): AdoptedTopic => ({
  id: 't1',
  topic: 'home/shelf/state',
  pointer: '/t',
  device: 'shelf',
  channel: 'water',
  unit: 'Cel',
  scale: 1,
  offset: 0,
  ...more,
})
const bytes = (text: string) => Buffer.from(text)

describe('a message of an adopted topic', () => {
  it.each([
    [adopted(), '{"t": 26.5}', 26.5],
    [adopted(), '{"t": "26.5"}', 26.5],
    [adopted({ pointer: null }), ' 26.5\n', 26.5],
    [adopted({ pointer: '' }), '26.5', 26.5],
    [adopted({ pointer: '/s/1/v', scale: 0.01 }), '{"s": [0, {"v": 2650}]}', 26.5],
    // 80 °F: Fahrenheit and Celsius as they are defined.
    [adopted({ scale: 5 / 9, offset: (-32 * 5) / 9 }), '{"t": 80}', 26.666_666_7],
  ])('is read as a measurement of now: %o %s', (topic, payload, value) => {
    const read = readAdopted(topic, bytes(payload))
    expect(read).toMatchObject({ name: 'water', unit: 'Cel', timeS: 0 })
    expect('value' in read && read.value).toBeCloseTo(value, 6)
  })

  it.each([
    [adopted(), 'on', 'no JSON'],
    [adopted(), '{"t": null}', 'no number at /t'],
    [adopted(), '{"u": 1}', 'no number at /t'],
    [adopted(), '[1, 2]', 'no number at /t'],
    [adopted({ pointer: null }), 'warm', 'no number'],
    [adopted({ pointer: null }), '', 'no number'],
    [adopted({ scale: 1e300 }), '{"t": 1e300}', 'out of all bounds'],
    [adopted(), `{"t": 1, "x": "${'x'.repeat(70_000)}"}`, 'bytes at most'],
  ])('is set aside with its reason where it has none: %o', (topic, payload, why) => {
    const read = readAdopted(topic, bytes(payload))
    expect('detail' in read && read.detail).toContain(why)
  })
})

describe('topics seen lately', () => {
  it('offer their numbers, and the one silent for longest makes room', () => {
    const seen = new SeenTopics()
    for (let at = 0; at <= MOST_SEEN; at++) seen.note(`t/${at}`, bytes(`{"a": ${at}}`), 'house', false, at)
    expect(seen.list()).toHaveLength(MOST_SEEN)
    expect(seen.list()[0]).toMatchObject({ topic: `t/${MOST_SEEN}`, by: 'house', count: 1 })
    expect(seen.list().some(({ topic }) => topic === 't/0')).toBe(false)
    expect(numbersOf(seen.list()[0]!)).toEqual([{ pointer: '/a', value: MOST_SEEN }])
    seen.note('long', bytes(`{"a": 1, "b": "${'b'.repeat(5000)}"}`), null, true, 1)
    expect(numbersOf(seen.list()[0]!)).toEqual([])
    seen.note('bare', bytes('7'), null, false, 1)
    expect(numbersOf(seen.list()[0]!)).toEqual([{ pointer: null, value: 7 }])
  })
})

describe('what a bridge may not send', () => {
  it('is counted by topic, within bounds', () => {
    const seen = new SeenTopics()
    for (let at = 0; at <= MOST_REFUSED; at++) seen.refuse('house', `t/${at}`, at)
    seen.refuse('house', 't/7', 99)
    seen.refuse('other', 't/7', 99)
    expect(seen.refused()).toHaveLength(MOST_REFUSED)
    expect(seen.refused().slice(0, 2)).toEqual([
      { bridge: 'other', topic: 't/7', atMs: 99, count: 1 },
      { bridge: 'house', topic: 't/7', atMs: 99, count: 2 },
    ])
    expect(seen.refused().some(({ topic }) => topic === 't/0')).toBe(false)
    seen.refuse('house', 'x'.repeat(60_000), 100)
    expect(seen.refused()[0]!.topic).toHaveLength(256)
    expect(seen.list()).toEqual([])
  })
})

describe('a bridge', () => {
  const all: AdoptedTopic[] = []
  const withBridge = async (work: (bench: Bench, seen: SeenTopics) => Promise<void>): Promise<void> => {
    const bench = new Bench()
    const seen = new SeenTopics()
    all.splice(0, all.length, adopted())
    const filters: Record<string, string[]> = { house: ['home/+/state', 'away/#'], other: ['home/#'] }
    await bench.start({
      registry: {
        verify: (device, password) => registry.verify(device, password),
        seen: () => [],
        channels: () => [],
        bridge: async (name, password) => (password === `${name}!` ? filters[name] : undefined),
      },
      adoptions: {
        of: topic => all.filter(one => one.topic === topic),
        topics: () => all.map(({ topic }) => topic),
      },
      seen,
    })
    try {
      await work(bench, seen)
    } finally {
      await bench.stop()
    }
  }

  it('is acknowledged when the reading is kept, and not before', () =>
    withBridge(async (bench, seen) => {
      const client = await bench.signedIn('house')
      bench.outlet.holding = true
      client.send(client.publish('home/shelf/state', '{"t": 26.5}', 1))
      await until(() => bench.outlet.packs.length === 1, 'the reading')
      await sleep(30)
      expect(client.acks).toEqual([])
      bench.outlet.commit()
      await until(() => client.acks.length === 1, 'the ack')
      expect(bench.outlet.packs[0]).toEqual({
        device: 'shelf',
        boot: null,
        seq: null,
        receivedAtMs: NOW,
        readings: [
          { channel: 'water', quantity: 'water', unit: 'Cel', value: 26.5, quality: 'good', atMs: NOW },
        ],
      })
      expect(seen.list()).toMatchObject([{ topic: 'home/shelf/state', by: 'house', retained: false }])
    }))

  it('has its faults named, and what cannot be read set aside, as for a device', () =>
    withBridge(async bench => {
      all.push(adopted({ id: 't2', channel: 'light', unit: 'lx', pointer: '/lux' }))
      const client = await bench.signedIn('house')
      client.send(client.publish('home/shelf/state', '{"t": -127, "lux": "dark"}', 1))
      await until(() => client.acks.length === 1, 'the ack')
      expect(bench.outlet.packs.flatMap(({ readings }) => readings)).toMatchObject([
        { quality: 'disconnected' },
      ])
      expect(bench.outlet.set).toMatchObject([
        {
          device: 'shelf',
          topic: 'home/shelf/state',
          reason: 'bad-record',
          detail: expect.stringContaining('/lux'),
        },
      ])
    }))

  it('may publish on its topics only; the rest is acknowledged and goes nowhere', () =>
    withBridge(async (bench, seen) => {
      const other = await bench.signedIn('other')
      other.send({ cmd: 'subscribe', messageId: 9, subscriptions: [{ topic: 'home/#', qos: 1 }] })
      await until(() => other.of('suback').length === 1, 'the suback')
      const client = await bench.signedIn('house')
      const wrong = ['home/shelf/set', 'brinewatch/v1/bench-1/measurements', '$SYS/x', 'elsewhere']
      wrong.forEach((topic, at) => client.send(client.publish(topic, '1', at + 1)))
      client.send(client.publish('home/shelf/state', '{"t": 1}', 7))
      // Acknowledged, as MQTT 3.1.1 clause 3.3.5-2 allows, so that what follows still comes.
      await until(() => client.acks.length === 5, 'the acks')
      await until(() => other.of('publish').length === 1, 'the one that is allowed')
      expect(other.of('publish')).toMatchObject([{ topic: 'home/shelf/state' }])
      expect(bench.intake.stats().refused.publish).toBe(4)
      expect(seen.list()).toHaveLength(1)
      expect(client.closed).toBe(false)
    }))

  it('may subscribe within its topics only, and never hears a device', () =>
    withBridge(async bench => {
      const client = await bench.signedIn('house')
      const asked = ['home/shelf/state', 'away/#', 'home/#', '#', '+/+/+/+', 'brinewatch/v1/bench-1/state']
      client.send({
        cmd: 'subscribe',
        messageId: 1,
        subscriptions: asked.map(topic => ({ topic, qos: 1 as const })),
      })
      await until(() => client.of('suback').length === 1, 'the suback')
      expect(client.of('suback')[0]).toMatchObject({ granted: [1, 1, 128, 128, 128, 128] })
    }))

  it('gets what was retained within its topics, and retains no more than it may', () =>
    withBridge(async bench => {
      const client = await bench.signedIn('house')
      client.send(client.publish('home/shelf/state', '{"t": 3}', 1, { retain: true }))
      client.send(client.publish('home/x/set', '1', 2, { retain: true }))
      await until(() => client.acks.length === 2, 'the acks')
      // Sent with the wish to be retained, it is of now all the same.
      expect(bench.outlet.packs).toHaveLength(1)
      const late = await bench.signedIn('other')
      late.send({ cmd: 'subscribe', messageId: 1, subscriptions: [{ topic: 'home/#', qos: 1 }] })
      await until(() => late.of('publish').length === 1, 'what was retained')
      await sleep(30)
      expect(late.of('publish')).toMatchObject([{ topic: 'home/shelf/state', retain: true }])
    }))

  it('has a last will within its topics or is refused', () =>
    withBridge(async bench => {
      const will = (topic: string) => ({
        will: { topic, payload: Buffer.from('off'), qos: 0, retain: false },
      })
      for (const [topic, code] of [
        ['home/shelf/set', 5],
        ['brinewatch/v1/bench-1/state', 5],
        ['away/lamp', 0],
      ] as const)
        expect(await bench.client().connect('house', will(topic))).toBe(code)
      expect(await bench.client().connect('house', { password: Buffer.from('no') })).toBe(4)
      expect(bench.intake.stats().refused.will).toBe(2)
    }))

  it('is put out when its credentials are taken away', () =>
    withBridge(async bench => {
      const client = await bench.signedIn('house')
      bench.intake.expel('house')
      await until(() => client.closed, 'the end of its connection')
    }))

  it.runIf(MOSQUITTO_PUB !== undefined)('is served with an ordinary client', () =>
    withBridge(async bench => {
      const args = ['-h', '127.0.0.1', '-p', String(bench.port), '-u', 'house', '-P', 'house!', '-q', '1']
      const run = spawn(MOSQUITTO_PUB!, [...args, '-t', 'home/shelf/state', '-m', '{"t": 27.25}'])
      const code = await new Promise(resolve => run.once('exit', resolve))
      expect(code).toBe(0)
      expect(bench.outlet.packs[0]?.readings).toMatchObject([
        { channel: 'water', value: 27.25, quality: 'good' },
      ])
    }),
  )
})
