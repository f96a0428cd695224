import { duplexPair } from 'node:stream'
import fc from 'fast-check'
import { generate } from 'mqtt-packet'
import { describe, expect, it } from 'vitest'
import { MEASUREMENTS, useBench } from '../intake/bench.ts'
import { seeded, share } from './inputs.ts'

const connect = generate({
  cmd: 'connect',
  protocolId: 'MQTT',
  protocolVersion: 4,
  clean: true,
  clientId: 'fuzz',
  keepalive: 0,
  username: 'bench-1',
  password: Buffer.from('bench-1!'),
})
const proper = Buffer.concat([
  generate({
    cmd: 'subscribe',
    messageId: 1,
    subscriptions: [{ topic: 'brinewatch/v1/bench-1/config', qos: 1 }],
  }),
  generate({
    cmd: 'publish',
    topic: MEASUREMENTS,
    payload: '[{"n":"water","v":27}]',
    messageId: 2,
    qos: 1,
    dup: false,
    retain: false,
  }),
  generate({ cmd: 'pingreq' }),
  generate({ cmd: 'unsubscribe', messageId: 3, unsubscriptions: ['brinewatch/v1/bench-1/config'] }),
])

const places = fc.array(fc.tuple(fc.nat(), fc.integer({ min: 0, max: 255 })), { minLength: 1, maxLength: 6 })
const changed = (bytes: Buffer) =>
  places.map(all => {
    const copy = Buffer.from(bytes)
    for (const [place, value] of all) copy[place % copy.length] = value
    return copy
  })
const input = fc.oneof(
  fc.uint8Array({ minLength: 1, maxLength: 200 }).map(bytes => Buffer.from(bytes)),
  changed(Buffer.concat([connect, proper])),
  // Signed in, and only then damaged.
  changed(proper).map(bytes => Buffer.concat([connect, bytes])),
)

describe('any bytes in place of MQTT', () => {
  const bench = useBench()

  it('end in an answer or a closed connection, and the next one who speaks properly is served', async () => {
    await fc.assert(
      fc.asyncProperty(input, async bytes => {
        const [ours, theirs] = duplexPair()
        ours.on('error', () => undefined)
        ours.resume()
        bench.intake.handleSocket(theirs)
        ours.write(bytes)
        await new Promise(resolve => setImmediate(resolve))
        ours.destroy()
        theirs.destroy()
        await new Promise(resolve => setImmediate(resolve))
      }),
      { numRuns: share(300), ...seeded },
    )
    const client = await bench.signedIn('bench-2')
    client.send(client.publish('brinewatch/v1/bench-2/measurements', '[{"n":"water","v":27}]', 9))
    await expect.poll(() => client.acks).toEqual([9])
    await expect.poll(() => bench.intake.stats().clients).toBe(1)
  })
})
