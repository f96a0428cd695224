import { describe, expect, it } from 'vitest'
import { MEASUREMENTS, STATE, useBench } from './bench.ts'
import { NOW, sleep, until, waterPack } from './fakes.ts'

const bench = useBench()

describe('acknowledgement', () => {
  it('comes after the commit and not before', async () => {
    const device = await bench.signedIn()
    bench.outlet.holding = true
    device.send(device.publish(MEASUREMENTS, waterPack('b', 0), 1))
    await until(() => bench.outlet.packs.length === 1, 'the pack, judged before it is kept')
    await sleep(50)
    expect(device.acks).toEqual([])
    bench.outlet.commit()
    await until(() => device.acks.length === 1, 'the ack')
  })

  it('keeps the order of one client, whatever the order of keeping', async () => {
    const device = await bench.signedIn()
    bench.outlet.holding = true
    device.send(
      device.publish(MEASUREMENTS, waterPack('b', 0), 1),
      device.publish(STATE, '{"online":true}', 2),
      device.publish(MEASUREMENTS, 'not senml', 3),
      device.publish(MEASUREMENTS, waterPack('b', 1), 4),
    )
    await until(() => bench.outlet.waiting.length === 3, 'two packs and a quarantine entry')
    const [first, second, third] = bench.outlet.waiting.splice(0)
    third!(null)
    second!(null)
    await sleep(30)
    expect(device.acks).toEqual([])
    first!(null)
    await until(() => device.acks.length === 4, 'all acks')
    expect(device.acks).toEqual([1, 2, 3, 4])
  })

  it('one client does not wait for another', async () => {
    const [slow, quick] = [await bench.signedIn('bench-1'), await bench.signedIn('bench-2')]
    bench.outlet.holding = true
    slow.send(slow.publish(MEASUREMENTS, waterPack('b', 0), 1))
    await until(() => bench.outlet.waiting.length === 1, 'the first pack')
    const held = bench.outlet.waiting.splice(0)
    bench.outlet.holding = false
    quick.send(quick.publish('brinewatch/v1/bench-2/measurements', waterPack('b', 0), 9))
    await until(() => quick.acks.length === 1, 'the ack of the other')
    expect(slow.acks).toEqual([])
    held[0]!(null)
    await until(() => slow.acks.length === 1, 'the ack of the first')
  })

  it('a repeat is acknowledged and given on once, while under way as well', async () => {
    const device = await bench.signedIn()
    bench.outlet.holding = true
    device.send(
      device.publish(MEASUREMENTS, waterPack('b', 0), 1),
      device.publish(MEASUREMENTS, waterPack('b', 0), 2, { dup: true }),
    )
    await until(() => bench.intake.stats().repeats === 1, 'the repeat')
    expect(device.acks).toEqual([])
    bench.outlet.commit()
    await until(() => device.acks.length === 2, 'both acks')
    bench.outlet.holding = false
    device.send(device.publish(MEASUREMENTS, waterPack('b', 0), 3))
    await until(() => device.acks.length === 3, 'the ack of the late repeat')
    expect(bench.outlet.packs).toHaveLength(1)
    expect(bench.outlet.settledAsked).toBe(1)
    device.send(device.publish(MEASUREMENTS, waterPack('c', 0), 4))
    await until(() => device.acks.length === 4, 'the same number of another power-up')
    expect(bench.outlet.packs).toHaveLength(2)
  })

  it('when nothing can be kept: judged, no ack, the connection ends after a pause, and the repeat is fresh', async () => {
    const device = await bench.signedIn()
    bench.outlet.failure = new Error('disk full')
    const sent = [
      device.publish(MEASUREMENTS, waterPack('b', 0), 1),
      device.publish(MEASUREMENTS, waterPack('b', 1), 2),
    ]
    device.send(...sent)
    await until(() => device.closed, 'the end of the connection')
    expect(bench.outlet.packs).toHaveLength(2)
    expect(device.acks).toEqual([])
    expect(bench.intake.stats()).toMatchObject({ acks: 0, repeats: 0 })
    expect(bench.intake.stats().notKept).toBeGreaterThan(0)

    bench.outlet.failure = null
    const again = await bench.signedIn()
    again.send(...sent)
    await until(() => again.acks.length === 2, 'the acks')
    expect(bench.outlet.packs.map(pack => pack.seq)).toEqual([0, 1, 0, 1])
    expect(bench.intake.stats().repeats).toBe(0)
  })

  it('an bench.outlet that breaks its promise not to throw ends the connection, not the process', async () => {
    const device = await bench.signedIn()
    bench.outlet.pack = () => {
      throw new Error('broken')
    }
    device.send(device.publish(MEASUREMENTS, waterPack('b', 0), 1))
    await until(() => device.closed, 'the end of the connection')
    expect(device.acks).toEqual([])
  })

  it('takes QoS 0 and QoS 2 as well', async () => {
    const device = await bench.signedIn()
    device.send(device.publish(MEASUREMENTS, waterPack('b', 0), 1, { qos: 0 }))
    device.send(device.publish(MEASUREMENTS, waterPack('b', 1), 2, { qos: 2 }))
    await until(() => device.of('pubrec').length === 1, 'the PUBREC')
    device.send({ cmd: 'pubrel', messageId: 2 })
    await until(() => device.of('pubcomp').length === 1, 'the PUBCOMP')
    expect(bench.outlet.packs.map(pack => pack.seq)).toEqual([0, 1])
  })
})

describe('what cannot be read', () => {
  it.each([
    ['no SenML', MEASUREMENTS, 'hello', 'not-senml'],
    ['half a CBOR array', MEASUREMENTS, Buffer.from('81a200', 'hex'), 'not-senml'],
    ['too much', MEASUREMENTS, Buffer.alloc(70_000, 0x20), 'too-large'],
    ['a record of no sense', MEASUREMENTS, '[{"n":"water"}]', 'bad-record'],
    ['a unit of another trade', MEASUREMENTS, '[{"n":"water","u":"degF","v":81}]', 'bad-unit'],
    ['the future', MEASUREMENTS, '[{"n":"water","u":"Cel","v":27,"t":3600}]', 'bad-time'],
    ['a topic of no kind', 'brinewatch/v1/bench-1/readings', waterPack('b', 0), 'bad-topic'],
    ['orders to itself', 'brinewatch/v1/bench-1/command', '{}', 'bad-topic'],
    ['no state', STATE, '{"online":"yes"}', 'bad-state'],
    ['a state that is no JSON', STATE, 'online', 'bad-state'],
  ] as const)(
    '%s is acknowledged and set aside, and the connection lives',
    async (_, topic, payload, reason) => {
      const device = await bench.signedIn()
      device.send(
        device.publish(topic, payload, 1, { retain: true }),
        device.publish(MEASUREMENTS, waterPack('b', 7), 2),
      )
      await until(() => device.acks.length === 2, 'both acks')
      expect(bench.outlet.set).toHaveLength(1)
      const entry = bench.outlet.set[0]!
      expect(entry).toMatchObject({ device: 'bench-1', topic, reason, receivedAtMs: NOW })
      expect(entry.bytes).toBe(Buffer.byteLength(payload))
      expect(entry.payload.length).toBeLessThanOrEqual(4096)
      expect(entry.detail.length).toBeGreaterThan(10)
      expect(bench.intake.stats().quarantined[reason]).toBe(1)
      expect(device.closed).toBe(false)
      expect(bench.outlet.packs.at(-1)!.seq).toBe(7)
    },
  )

  it('good records of a pack with bad ones are kept', async () => {
    const device = await bench.signedIn()
    const payload =
      '[{"n":"boot","vs":"b"},{"n":"seq","v":0},{"n":"water","u":"Cel","v":27},{"n":"air","v":1},{"n":"room","u":"F","v":1}]'
    device.send(device.publish(MEASUREMENTS, payload, 1))
    await until(() => device.acks.length === 1, 'the ack')
    expect(bench.outlet.packs[0]!.readings).toEqual([
      { channel: 'water', quantity: 'water', unit: 'Cel', value: 27, quality: 'good', atMs: NOW },
    ])
    expect(bench.outlet.set).toHaveLength(1)
    expect(bench.outlet.set[0]!.detail).toBe(
      'record "air": no unit is given; send l/min or l/s or m3/s (and 1 more)',
    )
  })

  it('a packet that is far too long ends its connection at its first bytes', async () => {
    const device = await bench.signedIn()
    device.socket.write(Buffer.from([0x32, 0xff, 0xff, 0xff, 0x7f]))
    await until(() => device.closed, 'the end of the connection')
    expect(bench.intake.stats().refused['packet-length']).toBe(1)
  })

  it('somebody unknown may send no more than a CONNECT', async () => {
    const stranger = bench.client()
    stranger.socket.write(Buffer.concat([Buffer.from([0x10, 0x80, 0x80, 0x04]), Buffer.alloc(1000)]))
    await until(() => stranger.closed, 'the end of the connection')
    expect(bench.intake.stats().refused['packet-length']).toBe(1)
  })
})
