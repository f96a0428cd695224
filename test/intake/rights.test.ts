import { describe, expect, it } from 'vitest'
import { MEASUREMENTS, STATE, useBench } from './bench.ts'
import { NOW, sleep, until, waterPack } from './fakes.ts'

const bench = useBench()

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
    ['a last will that measures', { will: { topic: MEASUREMENTS, payload: Buffer.from('[]'), qos: 0 } }, 5],
  ])('%s is refused with a CONNACK', async (_, more, code) => {
    const stranger = bench.client()
    expect(await stranger.connect('bench-1', more)).toBe(code)
    await until(() => stranger.closed, 'the end of the connection')
    expect(bench.outlet.reports).toEqual([])
  })

  it('an empty identifier with a session to keep gets CONNACK 2 (MQTT 3.1.1 clause 3.1.3-8)', async () => {
    const stranger = bench.client()
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
    expect(bench.intake.stats().refused.identifier).toBe(1)
  })

  it('an empty identifier with a clean session is served', async () => {
    const [one, two] = [
      await bench.signedIn('bench-1', { clientId: '' }),
      await bench.signedIn('bench-1', { clientId: '' }),
    ]
    one.send(one.publish(MEASUREMENTS, waterPack('b', 0), 1))
    two.send(two.publish(MEASUREMENTS, waterPack('b', 1), 1))
    await until(() => one.acks.length + two.acks.length === 2, 'both acks')
  })

  it.each(['brinewatch/v1/bench-2/measurements', 'brinewatch/v1/bench-2/state', 'home/x', '$SYS/x/y'])(
    'publishing on %s is refused',
    async topic => {
      const device = await bench.signedIn()
      device.send(device.publish(topic, waterPack('b', 0), 1, { retain: true }))
      await until(() => device.closed, 'the end of the connection')
      expect(device.acks).toEqual([])
      expect(bench.outlet.packs).toEqual([])
      expect(bench.intake.stats().refused.publish).toBe(1)
    },
  )

  it('only its own topics may be subscribed to; the SUBACK tells', async () => {
    const device = await bench.signedIn('bench-1', { clean: false })
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
    await bench.intake.publish('brinewatch/v1/bench-2/config', '{}', { retain: true })
    await bench.intake.publish('brinewatch/v1/bench-1/alarm', '{"standing":1}')
    await until(() => device.of('publish').length === 1, 'its own alarm')
    await sleep(30)
    expect(device.of('publish')).toMatchObject([{ topic: 'brinewatch/v1/bench-1/alarm' }])
  })

  it('a device gets its retained config, and what it sends itself is not retained', async () => {
    await bench.intake.publish('brinewatch/v1/bench-1/config', '{"revision":1}', { retain: true })
    const sender = await bench.signedIn()
    sender.send(sender.publish(MEASUREMENTS, waterPack('b', 0), 1, { retain: true }))
    await until(() => sender.acks.length === 1, 'the ack')
    const device = await bench.signedIn('bench-1', { clientId: 'second' })
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
    const device = await bench.signedIn()
    device.send({
      cmd: 'subscribe',
      messageId: 1,
      subscriptions: [{ topic: MEASUREMENTS, qos: 0 }],
    })
    await until(() => device.of('suback').length === 1, 'the SUBACK')
    device.send(device.publish(MEASUREMENTS, waterPack('b', 0), 1), device.publish(MEASUREMENTS, 'hello', 2))
    await until(() => device.acks.length === 2, 'the acks')
    await until(() => device.of('publish').length > 0, `the pack, after ${JSON.stringify(device.got)}`)
    await sleep(30)
    expect(device.of('publish').map(packet => 'payload' in packet && String(packet.payload))).toEqual([
      waterPack('b', 0),
    ])
  })

  it('no device takes the session of another by its identifier', async () => {
    const first = await bench.signedIn('bench-1', { clientId: 'same' })
    await bench.signedIn('bench-2', { clientId: 'same' })
    await bench.signedIn('bench-2', { clientId: 'bench-1/same' })
    await sleep(30)
    expect(first.closed).toBe(false)
    await bench.signedIn('bench-1', { clientId: 'same' })
    await until(() => first.closed, 'the device itself takes over')
  })

  it('an expelled device is cut off', async () => {
    const [one, two] = [await bench.signedIn('bench-1'), await bench.signedIn('bench-2')]
    bench.intake.expel('bench-1')
    await until(() => one.closed, 'the end of the connection')
    expect(two.closed).toBe(false)
  })
})

describe('presence', () => {
  const last = () => bench.outlet.reports.at(-1)

  it('a device that comes, describes itself and breaks off is reported', async () => {
    const will = { topic: STATE, payload: Buffer.from('{"online":false}'), qos: 1, retain: true }
    const device = await bench.signedIn('bench-1', { will })
    await until(() => bench.outlet.reports.length === 1, 'the first report')
    expect(last()).toEqual({ device: 'bench-1', online: true, receivedAtMs: NOW })
    expect(bench.intake.stats().clients).toBe(1)
    device.send(
      device.publish(STATE, '{"online":true,"firmware":"hatch 1","rssiDbm":-61,"uptimeS":9,"backlog":3}', 1),
    )
    await until(() => bench.outlet.reports.length === 2, 'the description')
    expect(last()).toMatchObject({ online: true, firmware: 'hatch 1', rssiDbm: -61, uptimeS: 9, backlog: 3 })
    device.end()
    await until(() => last()?.online === false, 'the last will')
    expect(bench.intake.stats().clients).toBe(0)
  })

  it('the last will of one connection does not make away with another', async () => {
    const will = { topic: STATE, payload: Buffer.from('{"online":false}'), qos: 0 }
    const first = await bench.signedIn('bench-1', { will, clientId: 'one' })
    await bench.signedIn('bench-1', { clientId: 'two' })
    first.end()
    await sleep(50)
    expect(bench.outlet.reports.map(report => report.online)).toEqual([true, true])
  })
})
