import fc from 'fast-check'
import { generate } from 'mqtt-packet'
import { describe, expect, it } from 'vitest'
import { Found, UsualPublish } from '../../broker/intake/usual-publish.ts'

const TOPIC = 'brinewatch/v1/bench-1/measurements'
const LONGEST = 100_000
const reader = () => new UsualPublish(Buffer.from(TOPIC), LONGEST)
const publish = (more: object = {}) =>
  ({
    cmd: 'publish',
    topic: TOPIC,
    qos: 1,
    messageId: 7,
    dup: false,
    retain: false,
    payload: 'x',
    ...more,
  }) as const

/** Against the packets of another implementation, mqtt-packet. */
describe('the usual message', () => {
  it('is read as it was written, wherever it begins, and seen to be begun while a part of it is missing', () => {
    fc.assert(
      fc.property(
        fc.uint8Array({ maxLength: 300 }),
        fc.uint8Array({ maxLength: 20_000 }),
        fc.integer({ min: 1, max: 65_535 }),
        fc.boolean(),
        fc.nat(),
        (before, payload, messageId, dup, cut) => {
          const packet = generate(publish({ payload: Buffer.from(payload), messageId, dup }))
          const chunk = Buffer.concat([before, packet, Buffer.from([0x32])])
          const usual = reader()
          expect(usual.read(chunk, before.length)).toBe(Found.whole)
          expect(usual.identifier).toBe(messageId)
          expect(usual.end).toBe(before.length + packet.length)
          expect(chunk.subarray(usual.payloadFrom, usual.end).equals(Buffer.from(payload))).toBe(true)
          const part = chunk.subarray(0, before.length + (cut % packet.length))
          expect(usual.read(part, before.length)).toBe(Found.begun)
        },
      ),
    )
  })

  const others: [string, Uint8Array][] = [
    ['QoS 0', generate(publish({ qos: 0 }))],
    ['QoS 2', generate(publish({ qos: 2 }))],
    ['one to be retained', generate(publish({ retain: true }))],
    ['a longer topic', generate(publish({ topic: `${TOPIC}s` }))],
    ['a shorter topic', generate(publish({ topic: TOPIC.slice(0, -1), payload: 'xx' }))],
    ['a topic of another device', generate(publish({ topic: TOPIC.replace('1', '2') }))],
    ['a ping', generate({ cmd: 'pingreq' })],
    ['one that is too long', generate(publish({ payload: 'x'.repeat(LONGEST) }))],
    ['one that ends within its topic', Buffer.from([0x32, 3, 0, 1, 65])],
    ['a length that never ends', Buffer.from([0x32, 0xff, 0xff, 0xff, 0xff, 1])],
    ['the identifier 0', generate(publish({ messageId: 7 })).fill(0, 38, 40)],
  ]
  it.each(others)('is not %s', (_what, packet) => {
    expect(reader().read(packet, 0)).toBe(Found.other)
  })
})
