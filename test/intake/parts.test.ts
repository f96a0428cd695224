import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { AckLine } from '../../broker/intake/ack-line.ts'
import { FrameWatch } from '../../broker/intake/frame-watch.ts'
import { Gate, GateFullError } from '../../broker/intake/gate.ts'
import { Presence } from '../../broker/intake/presence.ts'
import { maySubscribe, ownerOf, ownIdentifier, rightsOf } from '../../broker/intake/rights.ts'

describe('the line of acknowledgements', () => {
  it('releases in the order of coming, each once, and none before it was kept', () => {
    const scenario = fc.integer({ min: 1, max: 30 }).chain(count =>
      fc.shuffledSubarray(
        Array.from({ length: count }, (_, index) => index),
        { minLength: count },
      ),
    )
    fc.assert(
      fc.property(scenario, order => {
        const line = new AckLine(() => {})
        const released: number[] = []
        const settle = order.map((_, index) => line.enter(error => void (error ?? released.push(index))))
        const kept = new Set<number>()
        for (const index of order) {
          settle[index]!(null)
          kept.add(index)
          let expected = 0
          while (kept.has(expected)) expected++
          expect(released).toEqual(Array.from({ length: expected }, (_, each) => each))
        }
      }),
    )
  })

  it('after a failure nothing is acknowledged any more, and all are released with the error after the pause', () => {
    let end = () => {}
    const line = new AckLine(then => void (end = then))
    const released: (string | null)[] = []
    const release = (error: Error | null) => void released.push(error?.message ?? null)
    const [first, second, third] = [line.enter(release), line.enter(release), line.enter(release)]
    first(null)
    second(new Error('full'))
    third(null)
    line.enter(release)
    expect(released).toEqual([null])
    end()
    expect(released).toEqual([null, 'full', 'full', 'full'])
  })
})

describe('the watch on frames', () => {
  const limits = { first: 20, later: 300 }
  const frame = (length: number) => {
    const head = length < 128 ? [0x30, length] : [0x30, (length & 0x7f) | 0x80, length >> 7]
    return Buffer.concat([Buffer.from(head), Buffer.alloc(length, 0xff)])
  }

  it('passes what keeps the limits, however it is cut', () => {
    const lengths = fc.array(fc.integer({ min: 0, max: 300 }), { maxLength: 20 })
    fc.assert(
      fc.property(lengths, fc.infiniteStream(fc.integer({ min: 1, max: 50 })), (list, cuts) => {
        const bytes = Buffer.concat([frame(20), ...list.map(frame)])
        const watch = new FrameWatch(limits)
        for (let at = 0; at < bytes.length;) {
          const size = cuts.next().value
          expect(watch.accept(bytes.subarray(at, at + size))).toBe(true)
          at += size
        }
      }),
    )
  })

  it('stops the first packet earlier than the later ones', () => {
    expect(new FrameWatch(limits).accept(frame(21).subarray(0, 2))).toBe(false)
    const watch = new FrameWatch(limits)
    expect(watch.accept(frame(20))).toBe(true)
    expect(watch.accept(frame(300))).toBe(true)
    expect(watch.accept(frame(301).subarray(0, 3))).toBe(false)
  })

  it('a length of more than four bytes is none (MQTT 3.1.1 section 2.2.3)', () => {
    expect(new FrameWatch(limits).accept(Buffer.from([0x10, 0x80, 0x80, 0x80, 0x80]))).toBe(false)
    // Zero written in four bytes is clumsy and allowed.
    expect(new FrameWatch(limits).accept(Buffer.from([0x10, 0x80, 0x80, 0x80, 0x00]))).toBe(true)
  })
})

describe('the gate', () => {
  it('lets so many run, so many wait, and turns the rest away', async () => {
    const gate = new Gate(2, 1)
    const ends: (() => void)[] = []
    const work = () => new Promise<void>(resolve => ends.push(resolve))
    const first = gate.run(work)
    const second = gate.run(() => work().then(() => Promise.reject(new Error('failed'))))
    const third = gate.run(work)
    await expect(gate.run(work)).rejects.toBeInstanceOf(GateFullError)
    expect(ends).toHaveLength(2)
    ends[1]!()
    await expect(second).rejects.toThrow('failed')
    expect(ends).toHaveLength(3)
    ends[0]!()
    ends[2]!()
    await Promise.all([first, third])
    await gate.run(async () => {})
  })
})

describe('presence', () => {
  it('a device is there as long as one connection holds', () => {
    const [one, two] = [{}, {}]
    const presence = new Presence()
    presence.arrive('d', one)
    presence.arrive('d', two)
    expect(presence.elsewhere('d', one)).toBe(true)
    expect(presence.leave('d', one)).toBe(false)
    expect(presence.leave('d', one)).toBe(false)
    expect(presence.elsewhere('d', two)).toBe(false)
    expect(presence.leave('d', two)).toBe(true)
    expect(presence.leave('e', two)).toBe(false)
    expect(presence.devices).toBe(0)
  })
})

describe('rights', () => {
  it('end at the device’s own topics', () => {
    const rights = rightsOf('a')
    for (const own of ['config', 'alarm', 'command', 'state', 'measurements', '#', '+'])
      expect(maySubscribe(rights, `brinewatch/v1/a/${own}`)).toBe(true)
    for (const other of [
      '#',
      '+/#',
      'brinewatch/v1/#',
      'brinewatch/v1/a',
      'brinewatch/v1/+/config',
      'brinewatch/v1/ab/config',
      'brinewatch/v1/a/+/x',
    ])
      expect(maySubscribe(rights, other)).toBe(false)
  })

  it('an identifier tells its owner, and nobody can make one of another’s', () => {
    expect(ownerOf(ownIdentifier('a', 'b/c'))).toBe('a')
    expect(ownerOf('aedes_0123')).toBeUndefined()
    expect(ownerOf('/x')).toBeUndefined()
  })
})
