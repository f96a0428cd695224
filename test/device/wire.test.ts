import { generate } from 'mqtt-packet'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { decodePack } from '../../firmware-protocol/pack.ts'
import { LAST_WILL } from '../../firmware-protocol/device-state.ts'
import { Board, PINS, SharedClock } from './rig/board.ts'
import { WireBroker } from './rig/wire-broker.ts'

const ROOT = 'brinewatch/v1/cone-1/'

describe('the bytes of the firmware', { timeout: 60_000 }, () => {
  const clock = new SharedClock(Date.UTC(2026, 0, 1))
  let broker: WireBroker
  let board: Board
  beforeEach(async () => {
    broker = new WireBroker()
    await broker.open()
    board = new Board(clock, { device: 'cone-1', password: 'pässword', port: broker.port, answerMs: 500 })
    await board.powerOn()
  }, 60_000)
  afterEach(async () => {
    await board.powerOff()
    await broker.close()
  })

  it('connect with a will, and subscribe to the three topics', async () => {
    await board.run(1000)
    const [connect] = broker.of('connect')
    expect(connect).toMatchObject({
      ...{ protocolId: 'MQTT', protocolVersion: 4, clean: true, clientId: 'cone-1', username: 'cone-1' },
      will: { topic: `${ROOT}state`, qos: 1, retain: true },
    })
    expect(connect!.password!.toString()).toBe('pässword')
    expect(connect!.will!.payload.toString()).toBe(LAST_WILL)
    expect(connect!.keepalive).toBeGreaterThanOrEqual(30)
    expect(connect!.keepalive).toBeLessThanOrEqual(60)
    const [subscribe] = broker.of('subscribe')
    expect(subscribe!.subscriptions).toEqual(
      ['config', 'alarm', 'command'].map(kind => ({ topic: ROOT + kind, qos: 1 })),
    )
  })

  it('are those that the other implementation makes of the same packets', async () => {
    await board.run(30_000, 50)
    const whole = Buffer.concat(broker.bytes[0]!)
    const again = Buffer.concat(broker.heard.map(packet => generate(packet)))
    expect(broker.of('publish').length).toBeGreaterThan(4)
    expect(whole.equals(again)).toBe(true)
  })

  it('publish one at a time with QoS 1, the state first and retained, packs never', async () => {
    await board.run(30_000, 50)
    const published = broker.of('publish')
    expect(published[0]).toMatchObject({ topic: `${ROOT}state`, retain: true, qos: 1, dup: false })
    for (const { topic, qos, retain } of published) {
      expect(qos).toBe(1)
      expect(retain).toBe(topic.endsWith('/state'))
    }
    const packs = published.filter(({ topic }) => topic.endsWith('/measurements'))
    const seqs = packs.map(({ payload }) => decodePack(payload as Buffer).seq)
    expect(seqs).toEqual(seqs.map((_, i) => i))
    expect(new Set(published.map(({ messageId }) => messageId)).size).toBe(published.length)
  })

  it('mark what is sent again, under the same number and with the same samples', async () => {
    await board.run(3000, 50)
    broker.answersPublish = false
    await board.run(60_000, 50)
    broker.answersPublish = true
    await board.run(60_000, 50)
    const packs = broker
      .of('publish')
      .filter(({ topic }) => topic.endsWith('/measurements'))
      .map(({ payload, dup }) => ({ dup, pack: decodePack(payload as Buffer) }))
    const first = packs.find(({ dup }) => dup)!
    const original = packs.find(({ dup, pack }) => !dup && pack.seq === first.pack.seq)!
    expect(original.pack.boot).toBe(first.pack.boot)
    expect(first.pack.measurements.map(({ name, value }) => [name, value])).toEqual(
      original.pack.measurements.map(({ name, value }) => [name, value]),
    )
    // It was encoded anew: the same moment is longer ago.
    expect(first.pack.measurements[0]!.timeS).toBeLessThan(original.pack.measurements[0]!.timeS - 15)
    expect(first.pack.measurements[0]!.timeS - -first.pack.uptimeS!).toBeCloseTo(
      original.pack.measurements[0]!.timeS + original.pack.uptimeS!,
      2,
    )
  })

  it('ask for a sign of life when nothing else is said', async () => {
    await board.run(6000, 50)
    await broker.send({
      ...{ cmd: 'publish', topic: `${ROOT}config`, qos: 1, messageId: 9, dup: false, retain: true },
      payload: JSON.stringify({
        ...{ revision: 1, sampleIntervalS: 3600, reportIntervalS: 3600, stateIntervalS: 3600 },
        silentBrokerMinutes: 0,
      }),
    })
    await board.run(120_000, 100)
    expect(broker.of('puback').map(({ messageId }) => messageId)).toEqual([9])
    expect(broker.of('pingreq').length).toBeGreaterThanOrEqual(3)
    expect(broker.of('connect')).toHaveLength(1)
  })

  it.each([1, 2, 3, 7])('read what comes %i bytes at a time, of any quality of service', async pieces => {
    broker.pieces = pieces
    await board.run(3000)
    expect(broker.of('publish').length).toBeGreaterThan(0)
    const alarm = { standing: 1, unacknowledged: 1, priority: 'critical', sound: true, lampOff: true }
    for (const qos of [0, 1] as const) {
      await broker.send({
        ...{ cmd: 'publish', topic: `${ROOT}alarm`, qos, dup: false, retain: false, messageId: 300 },
        payload: JSON.stringify({ ...alarm, lampOff: qos === 0, text: 'ü'.repeat(150) }),
      })
      const ran = await board.run(3000)
      expect(ran.isUp).toBe(true)
      if (qos === 0)
        expect(ran.pins.filter(({ pin }) => pin === PINS.lamp).map(({ value }) => value)).toEqual([0])
    }
    expect(broker.of('puback').map(({ messageId }) => messageId)).toEqual([300])
  })

  it('come back after a refusal, ever later', async () => {
    broker.returnCode = 4
    const ran = await board.run(120_000, 100)
    expect(ran.said.join('\n')).toContain('password')
    expect(broker.of('connect').length).toBeGreaterThanOrEqual(4)
    expect(broker.of('connect').length).toBeLessThanOrEqual(9)
    expect(broker.of('subscribe')).toHaveLength(0)
    broker.returnCode = 0
    expect((await board.run(70_000, 100)).isUp).toBe(true)
  })

  it('leave the last word to the broker at a restart that was asked for, and acknowledge the order', async () => {
    await board.run(3000)
    await broker.send({
      ...{ cmd: 'publish', topic: `${ROOT}command`, qos: 1, messageId: 5, dup: false, retain: false },
      payload: '{"command":"restart"}',
    })
    expect((await board.run(2000)).isRestarting).toBe(true)
    await expect
      .poll(() => broker.of('puback').map(({ messageId }) => messageId), { timeout: 20_000 })
      .toEqual([5])
    expect(broker.of('disconnect')).toEqual([])
    await expect.poll(() => broker.connections, { timeout: 20_000 }).toBe(0)
  })

  it.each([
    ['a packet of no kind', Buffer.from([0xf0, 0x00])],
    ['a length that never ends', Buffer.from([0x30, 0xff, 0xff, 0xff, 0xff, 0xff])],
  ])('end the connection at %s, and come back', async (_, junk) => {
    await board.run(2000)
    await broker.sendRaw(junk)
    const ran = await board.run(10_000, 50)
    expect(ran.isUp).toBe(true)
    expect(broker.of('connect').length).toBeGreaterThanOrEqual(2)
  })
})
