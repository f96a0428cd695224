import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { createSendTimes } from '../../broker/intake/send-times.ts'
import { seededRandom } from '../../sim/random.ts'
import { NOW } from './fakes.ts'

const MINUTE = 60_000
const HOUR = 3_600_000
const DAY = 24 * HOUR

describe('when a pack was sent', () => {
  const times = () => {
    const made = createSendTimes()
    return (uptimeS: number | null, receivedAtMs: number, boot: string | null = 'b') =>
      made.sentAt('bench-1', boot, uptimeS, receivedAtMs)
  }

  it('is the receipt, without boot or uptime or at first sight', () => {
    const sentAt = times()
    expect(sentAt(null, NOW)).toBe(NOW)
    expect(sentAt(10, NOW, null)).toBe(NOW)
    expect(sentAt(10, NOW)).toBe(NOW)
    // A retry of the radio more or less is no wait.
    expect(sentAt(20.01, NOW + 10_200)).toBe(NOW + 10_200)
  })

  it('is earlier for what waited in a queue', () => {
    const sentAt = times()
    sentAt(100, NOW)
    // Twelve hours of packs, one a minute, come out of the queue within a second.
    for (let minute = 1; minute <= 720; minute++) {
      const sent = sentAt(100 + minute * 60, NOW + DAY / 2 + minute)
      const truth = NOW + minute * MINUTE
      const waited = NOW + DAY / 2 + minute - truth
      // What is left is the allowance for a drifting clock, 200 parts per million of half a day.
      if (waited > 10_000) expect(Math.abs(sent - truth)).toBeLessThan(10_000)
      else expect(sent).toBeLessThanOrEqual(NOW + DAY / 2 + minute)
    }
    expect(sentAt(100 + 43_260, NOW + DAY / 2 + MINUTE)).toBe(NOW + DAY / 2 + MINUTE)
  })

  it('a shorter uptime of another power-up is nothing to compare', () => {
    const sentAt = times()
    sentAt(10_000, NOW)
    expect(sentAt(5, NOW + MINUTE, 'c')).toBe(NOW + MINUTE)
  })

  it.each([+100e-6, -100e-6])('a device whose clock runs wrong by %d is not taken for waiting', rate => {
    const sentAt = times()
    for (let hour = 0; hour < 24 * 60; hour++) {
      const at = NOW + hour * 60 * MINUTE
      expect(sentAt(hour * 3600 * (1 + rate), at)).toBe(at)
    }
  })

  it('a clock here that is set forward misplaces for two minutes and not for ever', () => {
    const sentAt = times()
    for (let s = 0; s < 100; s++) sentAt(s, NOW + s * 1000)
    const jump = 10 * MINUTE
    expect(sentAt(100, NOW + jump + 100_000)).toBeLessThan(NOW + jump)
    for (let s = 101; s <= 225; s++) sentAt(s, NOW + jump + s * 1000)
    expect(sentAt(226, NOW + jump + 226_000)).toBe(NOW + jump + 226_000)
  })

  it('a clock here that is set back is followed at once', () => {
    const sentAt = times()
    sentAt(100, NOW)
    expect(sentAt(101, NOW - DAY)).toBe(NOW - DAY)
  })

  it('remembers so many power-ups and no more', () => {
    const made = createSendTimes({ boots: 2 })
    made.sentAt('a', 'b', 0, NOW)
    for (const boot of ['c', 'd']) made.sentAt('a', boot, 0, NOW)
    // Forgotten: what waited an hour counts as sent now.
    expect(made.sentAt('a', 'b', 1, NOW + 60 * MINUTE)).toBe(NOW + 60 * MINUTE)
    expect(made.sentAt('a', 'd', 1, NOW + 60 * MINUTE)).toBeLessThan(NOW + 2 * MINUTE)
  })
})

describe('a pack that was held up in its connection', () => {
  /** Sends packs from a device whose clock drifts; `wait` says for how long each is on its way. The largest error, ms. */
  function worst(plan: {
    seed: number
    /** Parts per million that the device's clock is fast by, and how much that wanders with the room's warmth. */
    ppm: number
    wanderPpm: number
    everyMs: number
    /** What the device rounds its uptime to. */
    roundMs: number
    /** When it sends nothing: from, to, ms since its start. */
    gaps: readonly (readonly [number, number])[]
    heldUp: number
    forMs: number
  }): number {
    const random = seededRandom(plan.seed)
    const times = createSendTimes()
    let uptimeMs = 3137
    let atMs = 0
    let largest = 0
    for (let i = 0; atMs < plan.forMs; i++) {
      const rate = 1 + (plan.ppm + plan.wanderPpm * Math.sin((2 * Math.PI * atMs) / DAY)) * 1e-6
      let stepMs = plan.everyMs
      const gap = plan.gaps.find(([from]) => from > atMs && from <= atMs + plan.everyMs)
      if (gap) stepMs = gap[1] - atMs
      atMs += stepMs
      uptimeMs += stepMs * rate
      // Not the first: it has nothing to be held against.
      const isHeldUp = i > 0 && random.uniform() < plan.heldUp
      const onTheWayMs = 4 + 60 * random.uniform() ** 3 + (isHeldUp ? 40_000 * random.uniform() : 0)
      const uptimeS = (Math.round(uptimeMs / plan.roundMs) * plan.roundMs) / 1000
      const sent = times.sentAt('bench-1', 'b', uptimeS, Math.round(NOW + atMs + onTheWayMs))
      largest = Math.max(largest, Math.abs(sent - (NOW + atMs)))
    }
    return largest
  }
  const seed = fc.integer({ min: 1, max: 1e6 })
  const ppm = fc.integer({ min: -100, max: 100 })

  it('is placed within 1 s, whatever the clock of the device does within 100 parts per million', () => {
    fc.assert(
      fc.property(seed, ppm, fc.integer({ min: 5, max: 60 }), (seed, ppm, everyS) => {
        const plan = { seed, ppm, wanderPpm: 10, everyMs: everyS * 1000, roundMs: 10 }
        expect(worst({ ...plan, gaps: [], heldUp: 0.2, forMs: 6 * HOUR })).toBeLessThan(600)
      }),
      { numRuns: 60 },
    )
  })

  it('is so after a device was away for hours, once its clock was known for two and a half', () => {
    fc.assert(
      fc.property(seed, ppm, fc.integer({ min: 1, max: 7 }), (seed, ppm, hours) => {
        const from = 2.6 * HOUR
        const plan = { seed, ppm, wanderPpm: 5, everyMs: 30_000, roundMs: 10, heldUp: 0.3 }
        const gaps = [[from, from + hours * HOUR]] as const
        expect(worst({ ...plan, gaps, forMs: from + (hours + 1) * HOUR })).toBeLessThan(1000)
      }),
      {
        numRuns: 60,
        // Clocks at the edge of what a crystal does: measured, they seem to lie beyond it.
        examples: [
          [1, 97, 3],
          [66_300, -99, 3],
          // Four waits one after the other that happened to be alike.
          [515_455, 0, 1],
        ],
      },
    )
  })

  it('is so after an hour away when nothing was known of the clock yet', () => {
    fc.assert(
      fc.property(seed, ppm, (seed, ppm) => {
        const plan = { seed, ppm, wanderPpm: 0, everyMs: 30_000, roundMs: 10, heldUp: 0.3 }
        const gaps = [[HOUR / 10, HOUR]] as const
        expect(worst({ ...plan, gaps, forMs: 1.5 * HOUR })).toBeLessThan(1000)
      }),
      { numRuns: 60 },
    )
  })

  /**
   * Of a device that tells whole seconds, a wait of up to 1,250 ms passes for none; two of its messages may be off by a second from each
   * other by rounding alone; and 64 ms are the way itself.
   */
  const COARSE_MS = 1250 + 1000 + 64

  it('is placed within 2.3 s for a device that tells whole seconds, and nothing on time is moved', () => {
    fc.assert(
      fc.property(seed, ppm, (seed, ppm) => {
        const plan = { seed, ppm, wanderPpm: 0, everyMs: 5300, roundMs: 1000, gaps: [], forMs: HOUR }
        expect(worst({ ...plan, heldUp: 0 })).toBeLessThan(100)
        expect(worst({ ...plan, heldUp: 0.2 })).toBeLessThanOrEqual(COARSE_MS)
      }),
      { numRuns: 40 },
    )
  })

  it('is placed within 2 s even where a clock is wrong by one in a hundred', () => {
    const plan = { seed: 1, wanderPpm: 0, everyMs: 5000, roundMs: 10, gaps: [], heldUp: 0, forMs: 3 * HOUR }
    expect(worst({ ...plan, ppm: -10_000 })).toBeLessThan(2000)
    expect(worst({ ...plan, ppm: 10_000 })).toBeLessThan(2000)
  })

  it('is told from the next one, which was not', () => {
    const times = createSendTimes()
    const sentAt = (uptimeS: number, afterMs: number) => times.sentAt('a', 'b', uptimeS, NOW + afterMs) - NOW
    expect(sentAt(10.01, 0)).toBe(0)
    expect(sentAt(15.01, 5020)).toBe(5020)
    expect(Math.abs(sentAt(20.01, 29_000) - 10_000)).toBeLessThan(10)
    expect(sentAt(39.11, 29_105)).toBe(29_105)
  })
})
