import { duplexPair } from 'node:stream'
import mqtt from 'mqtt'
import { generate, parser } from 'mqtt-packet'
import type { Packet } from 'mqtt-packet'
import { describe, expect, it } from 'vitest'
import { createEmbeddedIntake } from '../../broker/intake/embedded.ts'
import { MEASUREMENTS, registry, useBench } from './bench.ts'
import { FakeOutlet, NOW, sleep, until, waterPack } from './fakes.ts'

const bench = useBench()

describe('load', () => {
  it('one connection more than allowed is closed unread', async () => {
    await bench.intake.close()
    await bench.start({ maxConnections: 2 })
    await bench.signedIn('bench-1')
    await bench.signedIn('bench-2')
    const third = bench.client()
    await until(() => third.closed, 'the end of the connection')
    expect(bench.intake.stats().refused.connections).toBe(1)
  })

  it('connections that send a byte now and then keep no device out', async () => {
    await bench.intake.close()
    await bench.start({ maxConnections: 3 })
    const known = await bench.signedIn('bench-1')
    const slow = [bench.client(), bench.client(), bench.client(), bench.client()]
    // The beginning of a CONNECT, and never its end.
    for (const { socket } of slow) socket.write(Buffer.from([0x10, 0x40, 0x00]))
    await until(() => slow.filter(each => each.closed).length === 2, 'the first two to make way')
    const late = await bench.signedIn('bench-2')
    late.send(late.publish('brinewatch/v1/bench-2/measurements', waterPack('b', 1), 1))
    await until(() => late.acks.length === 1, 'its ack')
    expect([known.closed, slow.filter(each => each.closed).length]).toEqual([false, 3])
  })

  it('a subscriber that stops reading stops nobody else', { timeout: 20_000 }, async () => {
    const stalled = await bench.signedIn('bench-2', { clientId: 'stalled' })
    stalled.send({
      cmd: 'subscribe',
      messageId: 1,
      subscriptions: [{ topic: 'brinewatch/v1/bench-2/#', qos: 0 }],
    })
    await until(() => stalled.of('suback').length === 1, 'the SUBACK')
    stalled.socket.pause()
    const device = await bench.signedIn('bench-1')
    const filler = 'x'.repeat(10_000)
    for (let i = 0; i < 2000; i++) void bench.intake.publish('brinewatch/v1/bench-2/alarm', filler)
    for (let i = 1; i <= 100; i++) {
      device.send(device.publish(MEASUREMENTS, waterPack('b', i), i))
      await until(() => device.acks.length === i, `ack ${i}`, 2000)
    }
    stalled.end()
    await sleep(50)
    device.send(device.publish(MEASUREMENTS, waterPack('b', 101), 101))
    await until(() => device.acks.length === 101, 'the last ack')
  })

  it('a subscriber that acknowledges nothing is cut off after a hundred messages', async () => {
    const device = await bench.signedIn('bench-1', { clean: false })
    device.send({
      cmd: 'subscribe',
      messageId: 1,
      subscriptions: [{ topic: 'brinewatch/v1/bench-1/alarm', qos: 1 }],
    })
    await until(() => device.of('suback').length === 1, 'the SUBACK')
    for (let i = 0; i < 100; i++) await bench.intake.publish('brinewatch/v1/bench-1/alarm', '{}')
    await until(() => device.of('publish').length === 100, 'a hundred messages')
    expect(device.closed).toBe(false)
    void bench.intake.publish('brinewatch/v1/bench-1/alarm', '{}')
    await until(() => device.closed, 'the end of the connection')
  })

  it('a device that is away is queued nothing, and keeps its subscription', async () => {
    const subscribe = {
      cmd: 'subscribe',
      messageId: 1,
      subscriptions: [{ topic: 'brinewatch/v1/bench-1/alarm', qos: 1 }],
    } as Packet
    const device = await bench.signedIn('bench-1', { clean: false })
    device.send(subscribe)
    await until(() => device.of('suback').length === 1, 'the SUBACK')
    device.end()
    await until(() => bench.intake.stats().clients === 0, 'its going')
    await bench.intake.publish('brinewatch/v1/bench-1/alarm', '{"standing":1}')
    const again = await bench.signedIn('bench-1', { clean: false })
    await sleep(30)
    expect(again.of('publish')).toEqual([])
    await bench.intake.publish('brinewatch/v1/bench-1/alarm', '{"standing":2}')
    await until(() => again.of('publish').length === 1, 'the next alarm')
  })

  it('every message of mqtt.js with many in flight is taken in once and in order', async () => {
    const device = await mqtt.connectAsync(`mqtt://127.0.0.1:${bench.port}`, {
      username: 'bench-1',
      password: 'bench-1!',
    })
    await Promise.all(
      Array.from({ length: 500 }, (_, seq) =>
        device.publishAsync(MEASUREMENTS, waterPack('b', seq), { qos: 1 }),
      ),
    )
    await device.endAsync()
    expect(bench.outlet.packs.map(pack => pack.seq)).toEqual(Array.from({ length: 500 }, (_, seq) => seq))
    expect(bench.intake.stats()).toMatchObject({ packs: 500, readings: 500, acks: 500, repeats: 0 })
  })
})

describe('a byte stream from elsewhere', () => {
  it('is served without a port', async () => {
    await bench.intake.close()
    bench.outlet = new FakeOutlet()
    bench.intake = createEmbeddedIntake({ registry, outlet: bench.outlet, clock: () => NOW })
    const [near, far] = duplexPair()
    bench.intake.handleSocket(far)
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
        topic: MEASUREMENTS,
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
    const second = createEmbeddedIntake({ registry, outlet: bench.outlet, clock: () => NOW })
    await expect(second.start('127.0.0.1', bench.port)).rejects.toMatchObject({ code: 'EADDRINUSE' })
    await second.close()
  })

  it('closing ends every connection, twice is once, and closing before starting is nothing', async () => {
    const device = await bench.signedIn()
    await bench.intake.close()
    await bench.intake.close()
    await until(() => device.closed, 'the end of the connection')
    await createEmbeddedIntake({ registry, outlet: bench.outlet, clock: () => NOW }).close()
  })
})
