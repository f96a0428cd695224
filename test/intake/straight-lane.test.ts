import fc from 'fast-check'
import { generate } from 'mqtt-packet'
import { describe, expect, it } from 'vitest'
import { MEASUREMENTS, STATE, useBench } from './bench.ts'
import { sleep, until, waterPack } from './fakes.ts'

const bench = useBench()

/** What a device may say, in any order. */
const Said = fc.constantFrom('pack', 'pack', 'pack', 'state', 'not senml', 'QoS 0', 'elsewhere', 'ping')

describe('a connection whose usual messages go straight', () => {
  it('keeps the order of all that is said, in whatever pieces it comes', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(Said, { minLength: 1, maxLength: 30 }),
        fc.array(fc.integer({ min: 1, max: 200 }), { minLength: 1, maxLength: 40 }),
        async (said, cuts) => {
          const device = await bench.signedIn()
          bench.outlet.packs.length = 0
          bench.outlet.set.length = 0
          const boot = `b${device.socket.localPort}`
          const packets = said.map((what, n) => {
            const publish = (topic: string, payload: string, more = {}) =>
              generate(device.publish(topic, payload, n + 1, more))
            if (what === 'ping') return generate({ cmd: 'pingreq' })
            if (what === 'state') return publish(STATE, '{"online":true}')
            if (what === 'not senml') return publish(MEASUREMENTS, 'not senml')
            if (what === 'elsewhere') return publish('brinewatch/v1/bench-1/elsewhere', 'x')
            return publish(MEASUREMENTS, waterPack(boot, n), what === 'QoS 0' ? { qos: 0 } : {})
          })
          const bytes = Buffer.concat(packets)
          device.socket.setNoDelay(true)
          for (let at = 0, n = 0; at < bytes.length; n++) {
            const end = at + cuts[n % cuts.length]!
            device.socket.write(bytes.subarray(at, end))
            at = end
            if (n % 3 === 0) await new Promise(resolve => setImmediate(resolve))
          }
          const acked = said.flatMap((what, n) => (what === 'ping' || what === 'QoS 0' ? [] : [n + 1]))
          const seqs = said.flatMap((what, n) => (what === 'pack' || what === 'QoS 0' ? [n] : []))
          const pings = said.filter(what => what === 'ping').length
          await until(
            () =>
              device.acks.length === acked.length &&
              device.of('pingresp').length === pings &&
              bench.outlet.packs.length === seqs.length,
            'all that was said, taken in',
          )
          expect(device.acks).toEqual(acked)
          expect(bench.outlet.packs.map(pack => pack.seq)).toEqual(seqs)
          expect(bench.outlet.set).toHaveLength(
            said.filter(what => what === 'not senml' || what === 'elsewhere').length,
          )
          device.end()
        },
      ),
      { numRuns: 40 },
    )
  })

  it('is read no further while too much waits for its commit, and goes on when it is kept', async () => {
    const device = await bench.signedIn()
    bench.outlet.holding = true
    const many = 6000
    const packets = Array.from({ length: many }, (_, n) =>
      device.publish(MEASUREMENTS, waterPack('b', n), n + 1),
    )
    device.send(...packets)
    await until(() => bench.outlet.packs.length >= 128, 'what may wait')
    await sleep(100)
    // What came in the same piece as the last that may wait is taken as well: 64 KiB at most.
    expect(bench.outlet.packs.length).toBeLessThan(2000)
    bench.outlet.holding = false
    bench.outlet.commit()
    await until(() => device.acks.length === many, 'all acks')
    expect(device.acks).toEqual(Array.from({ length: many }, (_, n) => n + 1))
    expect(bench.outlet.packs.map(pack => pack.seq)).toEqual(Array.from({ length: many }, (_, n) => n))
  })

  it('is not taken for silent: what it measures winds its keep-alive up', async () => {
    // MQTT 3.1.1 clause 3.1.2-24: the server ends what was silent for one and a half times as long.
    const device = await bench.signedIn('bench-1', { keepalive: 1 })
    for (let n = 0; n < 6; n++) {
      device.send(device.publish(MEASUREMENTS, waterPack('b', n), n + 1))
      await sleep(400)
    }
    expect(device.closed).toBe(false)
    expect(device.acks).toHaveLength(6)
    await until(() => device.closed, 'its end, once it is silent')
  })

  it('goes the long way while the device listens to itself, and gets what it sent', async () => {
    const device = await bench.signedIn()
    device.send({ cmd: 'subscribe', messageId: 900, subscriptions: [{ topic: MEASUREMENTS, qos: 0 }] })
    await until(() => device.of('suback').length === 1, 'the SUBACK')
    device.send(device.publish(MEASUREMENTS, waterPack('b', 0), 1))
    await until(() => device.of('publish').length === 1, 'its own pack')
    await until(() => device.acks.length === 1, 'the ack')
  })
})
