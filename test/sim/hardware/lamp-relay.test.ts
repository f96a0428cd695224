import { describe, expect, it } from 'vitest'
import { LampRelay } from '../../../sim/hardware/lamp-relay.ts'

const MINUTE = 60_000

describe('the relay in the line of the lamp', () => {
  it('is closed until the broker says otherwise, and open as long as it does', () => {
    const relay = new LampRelay()
    relay.hear(false, 0)
    expect(relay.isOpen(0)).toBe(false)
    relay.hear(true, 1000)
    expect(relay.isOpen(1000)).toBe(true)
    expect(relay.isOpen(100 * MINUTE)).toBe(true)
  })

  it('rests for five minutes after', () => {
    const relay = new LampRelay()
    relay.hear(true, 0)
    relay.hear(false, 10 * MINUTE)
    for (let at = 10; at < 15; at++) {
      relay.hear(false, at * MINUTE)
      expect(relay.isOpen(at * MINUTE)).toBe(true)
    }
    expect(relay.isOpen(15 * MINUTE)).toBe(false)
  })

  it('begins its rest anew when it was hot again in between', () => {
    const relay = new LampRelay()
    relay.hear(true, 0)
    relay.hear(false, MINUTE)
    relay.hear(true, 2 * MINUTE)
    relay.hear(false, 3 * MINUTE)
    expect(relay.isOpen(7 * MINUTE)).toBe(true)
    expect(relay.isOpen(8 * MINUTE)).toBe(false)
  })
})
