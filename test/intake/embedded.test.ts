import { duplexPair } from 'node:stream'
import mqtt from 'mqtt'
import { generate, parser } from 'mqtt-packet'
import type { Packet } from 'mqtt-packet'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { createEmbeddedIntake } from '../../broker/intake/embedded.ts'
import type { EmbeddedIntake, EmbeddedIntakeOptions } from '../../broker/intake/embedded.ts'
import { FakeOutlet, fakeRegistry, NOW, sleep, until, waterPack } from './fakes.ts'
import { RawClient } from './raw-client.ts'

const A = 'brinewatch/v1/bench-1/measurements'
const STATE = 'brinewatch/v1/bench-1/state'

let outlet: FakeOutlet
let intake: EmbeddedIntake
let port: number
let clients: RawClient[]
const registry = fakeRegistry(['bench-1', 'bench-2'])

async function startWith(more: Partial<EmbeddedIntakeOptions> = {}): Promise<void> {
  outlet = new FakeOutlet()
  intake = createEmbeddedIntake({ registry, outlet, clock: () => NOW, pauseMs: 50, ...more })
  port = (await intake.start('127.0.0.1', 0)).port
}
function client(): RawClient {
  const made = new RawClient(port)
  clients.push(made)
  return made
}
async function signedIn(device = 'bench-1', more: Record<string, unknown> = {}): Promise<RawClient> {
  const made = client()
  expect(await made.connect(device, more)).toBe(0)
  return made
}

beforeEach(async () => {
  clients = []
  await startWith()
})
afterEach(async () => {
  for (const each of clients) each.end()
  await intake.close()
})

describe('acknowledgement', () => {
  it('comes after the commit and not before', async () => {
    const device = await signedIn()
    outlet.holding = true
    device.send(device.publish(A, waterPack('b', 0), 1))
    await until(() => outlet.packs.length === 1, 'the pack, judged before it is kept')
    await sleep(50)
    expect(device.acks).toEqual([])
    outlet.commit()
    await until(() => device.acks.length === 1, 'the ack')
  })

  it('keeps the order of one client, whatever the order of keeping', async () => {
    const device = await signedIn()
    outlet.holding = true
    device.send(
      device.publish(A, waterPack('b', 0), 1),
      device.publish(STATE, '{"online":true}', 2),
      device.publish(A, 'not senml', 3),
      device.publish(A, waterPack('b', 1), 4),
    )
    await until(() => outlet.waiting.length === 3, 'two packs and a quarantine entry')
    const [first, second, third] = outlet.waiting.splice(0)
    third!(null)
    second!(null)
    await sleep(30)
    expect(device.acks).toEqual([])
    first!(null)
    await until(() => device.acks.length === 4, 'all acks')
    expect(device.acks).toEqual([1, 2, 3, 4])
  })

  it('one client does not wait for another', async () => {
    const [slow, quick] = [await signedIn('bench-1'), await signedIn('bench-2')]
    outlet.holding = true
    slow.send(slow.publish(A, waterPack('b', 0), 1))
    await until(() => outlet.waiting.length === 1, 'the first pack')
    const held = outlet.waiting.splice(0)
    outlet.holding = false
    quick.send(quick.publish('brinewatch/v1/bench-2/measurements', waterPack('b', 0), 9))
    await until(() => quick.acks.length === 1, 'the ack of the other')
    expect(slow.acks).toEqual([])
    held[0]!(null)
    await until(() => slow.acks.length === 1, 'the ack of the first')
  })

  it('a repeat is acknowledged and given on once, while under way as well', async () => {
    const device = await signedIn()
    outlet.holding = true
    device.send(
      device.publish(A, waterPack('b', 0), 1),
      device.publish(A, waterPack('b', 0), 2, { dup: true }),
    )
    await until(() => intake.stats().repeats === 1, 'the repeat')
    expect(device.acks).toEqual([])
    outlet.commit()
    await until(() => device.acks.length === 2, 'both acks')
    outlet.holding = false
    device.send(device.publish(A, waterPack('b', 0), 3))
    await until(() => device.acks.length === 3, 'the ack of the late repeat')
    expect(outlet.packs).toHaveLength(1)
    expect(outlet.settledAsked).toBe(1)
    device.send(device.publish(A, waterPack('c', 0), 4))
    await until(() => device.acks.length === 4, 'the same number of another power-up')
    expect(outlet.packs).toHaveLength(2)
  })

  it('when nothing can be kept: judged, no ack, the connection ends after a pause, and the repeat is fresh', async () => {
    const device = await signedIn()
    outlet.failure = new Error('disk full')
    const sent = [device.publish(A, waterPack('b', 0), 1), device.publish(A, waterPack('b', 1), 2)]
    device.send(...sent)
    await until(() => device.closed, 'the end of the connection')
    expect(outlet.packs).toHaveLength(2)
    expect(device.acks).toEqual([])
    expect(intake.stats()).toMatchObject({ acks: 0, repeats: 0 })
    expect(intake.stats().notKept).toBeGreaterThan(0)

    outlet.failure = null
    const again = await signedIn()
    again.send(...sent)
    await until(() => again.acks.length === 2, 'the acks')
    expect(outlet.packs.map(pack => pack.seq)).toEqual([0, 1, 0, 1])
    expect(intake.stats().repeats).toBe(0)
  })

  it('an outlet that breaks its promise not to throw ends the connection, not the process', async () => {
    const device = await signedIn()
    outlet.pack = () => {
      throw new Error('broken')
    }
    device.send(device.publish(A, waterPack('b', 0), 1))
    await until(() => device.closed, 'the end of the connection')
    expect(device.acks).toEqual([])
  })

  it('takes QoS 0 and QoS 2 as well', async () => {
    const device = await signedIn()
    device.send(device.publish(A, waterPack('b', 0), 1, { qos: 0 }))
    device.send(device.publish(A, waterPack('b', 1), 2, { qos: 2 }))
    await until(() => device.of('pubrec').length === 1, 'the PUBREC')
    device.send({ cmd: 'pubrel', messageId: 2 })
    await until(() => device.of('pubcomp').length === 1, 'the PUBCOMP')
    expect(outlet.packs.map(pack => pack.seq)).toEqual([0, 1])
  })
})

describe('what cannot be read', () => {
  it.each([
    ['no SenML', A, 'hello', 'not-senml'],
    ['half a CBOR array', A, Buffer.from('81a200', 'hex'), 'not-senml'],
    ['too much', A, Buffer.alloc(70_000, 0x20), 'too-large'],
    ['a record of no sense', A, '[{"n":"water"}]', 'bad-record'],
    ['a unit of another trade', A, '[{"n":"water","u":"degF","v":81}]', 'bad-unit'],
    ['the future', A, '[{"n":"water","u":"Cel","v":27,"t":3600}]', 'bad-time'],
    ['a topic of no kind', 'brinewatch/v1/bench-1/readings', waterPack('b', 0), 'bad-topic'],
    ['orders to itself', 'brinewatch/v1/bench-1/command', '{}', 'bad-topic'],
    ['no state', STATE, '{"online":"yes"}', 'bad-state'],
    ['a state that is no JSON', STATE, 'online', 'bad-state'],
  ] as const)(
    '%s is acknowledged and set aside, and the connection lives',
    async (_, topic, payload, reason) => {
      const device = await signedIn()
      device.send(
        device.publish(topic, payload, 1, { retain: true }),
        device.publish(A, waterPack('b', 7), 2),
      )
      await until(() => device.acks.length === 2, 'both acks')
      expect(outlet.set).toHaveLength(1)
      const entry = outlet.set[0]!
      expect(entry).toMatchObject({ device: 'bench-1', topic, reason, receivedAtMs: NOW })
      expect(entry.bytes).toBe(Buffer.byteLength(payload))
      expect(entry.payload.length).toBeLessThanOrEqual(4096)
      expect(entry.detail.length).toBeGreaterThan(10)
      expect(intake.stats().quarantined[reason]).toBe(1)
      expect(device.closed).toBe(false)
      expect(outlet.packs.at(-1)!.seq).toBe(7)
    },
  )

  it('good records of a pack with bad ones are kept', async () => {
    const device = await signedIn()
    const payload =
      '[{"n":"boot","vs":"b"},{"n":"seq","v":0},{"n":"water","u":"Cel","v":27},{"n":"air","v":1},{"n":"room","u":"F","v":1}]'
    device.send(device.publish(A, payload, 1))
    await until(() => device.acks.length === 1, 'the ack')
    expect(outlet.packs[0]!.readings).toEqual([
      { channel: 'water', quantity: 'water', unit: 'Cel', value: 27, quality: 'good', atMs: NOW },
    ])
    expect(outlet.set).toHaveLength(1)
    expect(outlet.set[0]!.detail).toBe(
      'record "air": no unit is given; send l/min or l/s or m3/s (and 1 more)',
    )
  })

  it('a packet that is far too long ends its connection at its first bytes', async () => {
    const device = await signedIn()
    device.socket.write(Buffer.from([0x32, 0xff, 0xff, 0xff, 0x7f]))
    await until(() => device.closed, 'the end of the connection')
    expect(intake.stats().refused['packet-length']).toBe(1)
  })

  it('somebody unknown may send no more than a CONNECT', async () => {
    const stranger = client()
    stranger.socket.write(Buffer.concat([Buffer.from([0x10, 0x80, 0x80, 0x04]), Buffer.alloc(1000)]))
    await until(() => stranger.closed, 'the end of the connection')
    expect(intake.stats().refused['packet-length']).toBe(1)
  })
})

describe('rights', () => {
  it.each([
    // MQTT 3.1.1 table 3.1: 2 identifier rejected, 4 bad user name or password, 5 not authorized.
    ['nobody', { username: undefined, password: undefined }, 5],
    ['no password', { password: undefined }, 5],
    ['a wrong password', { password: Buffer.from('x') }, 4],
    ['an unknown device', { username: 'bench-9', password: Buffer.from('bench-9!') }, 4],
    ['a name that is none', { username: 'bench/1', password: Buffer.from('x') }, 4],
    [
      'a last will for another',
      { will: { topic: 'brinewatch/v1/bench-2/state', payload: Buffer.from('{"online":false}'), qos: 1 } },
      5,
    ],
    ['a last will that measures', { will: { topic: A, payload: Buffer.from('[]'), qos: 0 } }, 5],
  ])('%s is refused with a CONNACK', async (_, more, code) => {
    const stranger = client()
    expect(await stranger.connect('bench-1', more)).toBe(code)
    await until(() => stranger.closed, 'the end of the connection')
    expect(outlet.reports).toEqual([])
  })

  it('an empty identifier with a session to keep gets CONNACK 2 (MQTT 3.1.1 clause 3.1.3-8)', async () => {
    const stranger = client()
    const text = (value: string) => Buffer.concat([Buffer.from([0, value.length]), Buffer.from(value)])
    const body = Buffer.concat([
      text('MQTT'),
      // Level 4; user name and password, no clean session; no keep alive.
      Buffer.from([4, 0xc0, 0, 0]),
      ...['', 'bench-1', 'bench-1!'].map(text),
    ])
    stranger.socket.write(Buffer.concat([Buffer.from([0x10, body.length]), body]))
    await until(() => stranger.closed, 'the end of the connection')
    expect(stranger.of('connack')).toMatchObject([{ returnCode: 2 }])
    expect(intake.stats().refused.identifier).toBe(1)
  })

  it('an empty identifier with a clean session is served', async () => {
    const [one, two] = [
      await signedIn('bench-1', { clientId: '' }),
      await signedIn('bench-1', { clientId: '' }),
    ]
    one.send(one.publish(A, waterPack('b', 0), 1))
    two.send(two.publish(A, waterPack('b', 1), 1))
    await until(() => one.acks.length + two.acks.length === 2, 'both acks')
  })

  it.each(['brinewatch/v1/bench-2/measurements', 'brinewatch/v1/bench-2/state', 'home/x', '$SYS/x/y'])(
    'publishing on %s is refused',
    async topic => {
      const device = await signedIn()
      device.send(device.publish(topic, waterPack('b', 0), 1, { retain: true }))
      await until(() => device.closed, 'the end of the connection')
      expect(device.acks).toEqual([])
      expect(outlet.packs).toEqual([])
      expect(intake.stats().refused.publish).toBe(1)
    },
  )

  it('only its own topics may be subscribed to; the SUBACK tells', async () => {
    const device = await signedIn('bench-1', { clean: false })
    const topics = [
      'brinewatch/v1/bench-1/config',
      'brinewatch/v1/bench-1/#',
      'brinewatch/v1/bench-2/config',
      '#',
      '+/+/+/config',
      'brinewatch/v1/+/alarm',
      '$SYS/#',
      'brinewatch/v1/bench-1/config/#',
    ]
    device.send({
      cmd: 'subscribe',
      messageId: 1,
      subscriptions: topics.map(topic => ({ topic, qos: 1 })),
    })
    await until(() => device.of('suback').length === 1, 'the SUBACK')
    expect(device.of('suback')[0]).toMatchObject({ granted: [1, 1, 128, 128, 128, 128, 128, 128] })
    await intake.publish('brinewatch/v1/bench-2/config', '{}', { retain: true })
    await intake.publish('brinewatch/v1/bench-1/alarm', '{"standing":1}')
    await until(() => device.of('publish').length === 1, 'its own alarm')
    await sleep(30)
    expect(device.of('publish')).toMatchObject([{ topic: 'brinewatch/v1/bench-1/alarm' }])
  })

  it('a device gets its retained config, and what it sends itself is not retained', async () => {
    await intake.publish('brinewatch/v1/bench-1/config', '{"revision":1}', { retain: true })
    const sender = await signedIn()
    sender.send(sender.publish(A, waterPack('b', 0), 1, { retain: true }))
    await until(() => sender.acks.length === 1, 'the ack')
    const device = await signedIn('bench-1', { clientId: 'second' })
    device.send({
      cmd: 'subscribe',
      messageId: 1,
      subscriptions: [{ topic: 'brinewatch/v1/bench-1/#', qos: 1 }],
    })
    await until(() => device.of('publish').length === 1, 'the config')
    await sleep(30)
    expect(device.of('publish')).toMatchObject([{ topic: 'brinewatch/v1/bench-1/config', retain: true }])
  })

  it('a device that listens to itself hears what it sends', async () => {
    const device = await signedIn()
    device.send({
      cmd: 'subscribe',
      messageId: 1,
      subscriptions: [{ topic: A, qos: 0 }],
    } as Packet)
    await until(() => device.of('suback').length === 1, 'the SUBACK')
    device.send(device.publish(A, waterPack('b', 0), 1), device.publish(A, 'hello', 2))
    await until(() => device.acks.length === 2, 'the acks')
    await until(() => device.of('publish').length > 0, `the pack, after ${JSON.stringify(device.got)}`)
    await sleep(30)
    expect(device.of('publish').map(packet => 'payload' in packet && String(packet.payload))).toEqual([
      waterPack('b', 0),
    ])
  })

  it('no device takes the session of another by its identifier', async () => {
    const first = await signedIn('bench-1', { clientId: 'same' })
    await signedIn('bench-2', { clientId: 'same' })
    await signedIn('bench-2', { clientId: 'bench-1/same' })
    await sleep(30)
    expect(first.closed).toBe(false)
    await signedIn('bench-1', { clientId: 'same' })
    await until(() => first.closed, 'the device itself takes over')
  })

  it('an expelled device is cut off', async () => {
    const [one, two] = [await signedIn('bench-1'), await signedIn('bench-2')]
    intake.expel('bench-1')
    await until(() => one.closed, 'the end of the connection')
    expect(two.closed).toBe(false)
  })
})

describe('presence', () => {
  const last = () => outlet.reports.at(-1)

  it('a device that comes, describes itself and breaks off is reported', async () => {
    const will = { topic: STATE, payload: Buffer.from('{"online":false}'), qos: 1, retain: true }
    const device = await signedIn('bench-1', { will })
    await until(() => outlet.reports.length === 1, 'the first report')
    expect(last()).toEqual({ device: 'bench-1', online: true, receivedAtMs: NOW })
    expect(intake.stats().clients).toBe(1)
    device.send(
      device.publish(STATE, '{"online":true,"firmware":"hatch 1","rssiDbm":-61,"uptimeS":9,"backlog":3}', 1),
    )
    await until(() => outlet.reports.length === 2, 'the description')
    expect(last()).toMatchObject({ online: true, firmware: 'hatch 1', rssiDbm: -61, uptimeS: 9, backlog: 3 })
    device.end()
    await until(() => last()?.online === false, 'the last will')
    expect(intake.stats().clients).toBe(0)
  })

  it('the last will of one connection does not make away with another', async () => {
    const will = { topic: STATE, payload: Buffer.from('{"online":false}'), qos: 0 }
    const first = await signedIn('bench-1', { will, clientId: 'one' })
    await signedIn('bench-1', { clientId: 'two' })
    first.end()
    await sleep(50)
    expect(outlet.reports.map(report => report.online)).toEqual([true, true])
  })
})

describe('load', () => {
  it('one connection more than allowed is closed unread', async () => {
    await intake.close()
    await startWith({ maxConnections: 2 })
    await signedIn('bench-1')
    await signedIn('bench-2')
    const third = client()
    await until(() => third.closed, 'the end of the connection')
    expect(intake.stats().refused.connections).toBe(1)
  })

  it('a subscriber that stops reading stops nobody else', { timeout: 20_000 }, async () => {
    const stalled = await signedIn('bench-2', { clientId: 'stalled' })
    stalled.send({
      cmd: 'subscribe',
      messageId: 1,
      subscriptions: [{ topic: 'brinewatch/v1/bench-2/#', qos: 0 }],
    })
    await until(() => stalled.of('suback').length === 1, 'the SUBACK')
    stalled.socket.pause()
    const device = await signedIn('bench-1')
    const filler = 'x'.repeat(10_000)
    for (let i = 0; i < 2000; i++) void intake.publish('brinewatch/v1/bench-2/alarm', filler)
    for (let i = 1; i <= 100; i++) {
      device.send(device.publish(A, waterPack('b', i), i))
      await until(() => device.acks.length === i, `ack ${i}`, 2000)
    }
    stalled.end()
    await sleep(50)
    device.send(device.publish(A, waterPack('b', 101), 101))
    await until(() => device.acks.length === 101, 'the last ack')
  })

  it('a subscriber that acknowledges nothing is cut off after a hundred messages', async () => {
    const device = await signedIn('bench-1', { clean: false })
    device.send({
      cmd: 'subscribe',
      messageId: 1,
      subscriptions: [{ topic: 'brinewatch/v1/bench-1/alarm', qos: 1 }],
    })
    await until(() => device.of('suback').length === 1, 'the SUBACK')
    for (let i = 0; i < 100; i++) await intake.publish('brinewatch/v1/bench-1/alarm', '{}')
    await until(() => device.of('publish').length === 100, 'a hundred messages')
    expect(device.closed).toBe(false)
    void intake.publish('brinewatch/v1/bench-1/alarm', '{}')
    await until(() => device.closed, 'the end of the connection')
  })

  it('a device that is away is queued nothing, and keeps its subscription', async () => {
    const subscribe = {
      cmd: 'subscribe',
      messageId: 1,
      subscriptions: [{ topic: 'brinewatch/v1/bench-1/alarm', qos: 1 }],
    } as Packet
    const device = await signedIn('bench-1', { clean: false })
    device.send(subscribe)
    await until(() => device.of('suback').length === 1, 'the SUBACK')
    device.end()
    await until(() => intake.stats().clients === 0, 'its going')
    await intake.publish('brinewatch/v1/bench-1/alarm', '{"standing":1}')
    const again = await signedIn('bench-1', { clean: false })
    await sleep(30)
    expect(again.of('publish')).toEqual([])
    await intake.publish('brinewatch/v1/bench-1/alarm', '{"standing":2}')
    await until(() => again.of('publish').length === 1, 'the next alarm')
  })

  it('every message of mqtt.js with many in flight is taken in once and in order', async () => {
    const device = await mqtt.connectAsync(`mqtt://127.0.0.1:${port}`, {
      username: 'bench-1',
      password: 'bench-1!',
    })
    await Promise.all(
      Array.from({ length: 500 }, (_, seq) => device.publishAsync(A, waterPack('b', seq), { qos: 1 })),
    )
    await device.endAsync()
    expect(outlet.packs.map(pack => pack.seq)).toEqual(Array.from({ length: 500 }, (_, seq) => seq))
    expect(intake.stats()).toMatchObject({ packs: 500, readings: 500, acks: 500, repeats: 0 })
  })
})

describe('a byte stream from elsewhere', () => {
  it('is served without a port', async () => {
    await intake.close()
    outlet = new FakeOutlet()
    intake = createEmbeddedIntake({ registry, outlet, clock: () => NOW })
    const [near, far] = duplexPair()
    intake.handleSocket(far)
    const got: Packet[] = []
    const read = parser()
    read.on('packet', (packet: Packet) => got.push(packet))
    near.on('data', (chunk: Buffer) => read.parse(chunk))
    near.write(
      generate({
        cmd: 'connect',
        clientId: 'ws',
        clean: true,
        username: 'bench-1',
        password: Buffer.from('bench-1!'),
      }),
    )
    await until(() => got.length === 1, 'the CONNACK')
    near.write(
      generate({
        cmd: 'publish',
        topic: A,
        payload: waterPack('b', 0),
        qos: 1,
        messageId: 5,
        dup: false,
        retain: false,
      }),
    )
    await until(() => got.length === 2, 'the PUBACK')
    expect(got[1]).toMatchObject({ cmd: 'puback', messageId: 5 })
  })
})

describe('starting and stopping', () => {
  it('a port that is taken rejects', async () => {
    const second = createEmbeddedIntake({ registry, outlet, clock: () => NOW })
    await expect(second.start('127.0.0.1', port)).rejects.toMatchObject({ code: 'EADDRINUSE' })
    await second.close()
  })

  it('closing ends every connection, twice is once, and closing before starting is nothing', async () => {
    const device = await signedIn()
    await intake.close()
    await intake.close()
    await until(() => device.closed, 'the end of the connection')
    await createEmbeddedIntake({ registry, outlet, clock: () => NOW }).close()
  })
})
