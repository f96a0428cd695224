import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { Backoff } from '../../../sim/device/backoff.ts'
import { Outbox } from '../../../sim/device/outbox.ts'
import { seededRandom } from '../../../sim/random.ts'

const sampling = (first: number, count: number) => ({
  atMs: first,
  readings: Array.from({ length: count }, (_, i) => ({ name: 'x', unit: 'Cel', value: first + i })),
})

describe('an outbox', () => {
  it('loses nothing but what it counts, keeps the order, and never grows past its limit', () => {
    const act = fc.oneof(
      fc.record({ kind: fc.constant('add' as const), count: fc.integer({ min: 1, max: 5 }) }),
      fc.record({ kind: fc.constant('send' as const) }),
      fc.record({ kind: fc.constant('acknowledge' as const) }),
      fc.record({ kind: fc.constant('wrong' as const) }),
    )
    fc.assert(
      fc.property(
        fc.array(act, { maxLength: 200 }),
        fc.integer({ min: 1, max: 30 }),
        fc.integer({ min: 1, max: 12 }),
        (acts, readings, packReadings) => {
          const outbox = new Outbox({ readings, packReadings })
          const delivered: number[] = []
          let made = 0
          let flying: { seq: number; text: string } | null = null
          for (const { kind, ...rest } of acts) {
            if (kind === 'add') {
              const count = (rest as { count: number }).count
              outbox.add(sampling(made, count))
              made += count
            } else if (kind === 'send') {
              const pack = outbox.next()
              const text = JSON.stringify(pack)
              // What is under way keeps its number and its content.
              if (flying) expect(text).toBe(flying.text)
              else if (pack) {
                expect(pack.samplings.length).toBeGreaterThan(0)
                const size = pack.samplings.reduce((sum, s) => sum + s.readings.length, 0)
                expect(size <= packReadings || pack.samplings.length === 1).toBe(true)
                flying = { seq: pack.seq, text }
              }
            } else if (kind === 'wrong') outbox.acknowledged(1e9)
            else if (flying) {
              const pack = outbox.next()!
              delivered.push(...pack.samplings.flatMap(s => s.readings.map(({ value }) => value)))
              outbox.acknowledged(flying.seq)
              flying = null
            }
            // A pack under way is never dropped, so it alone may stand above the limit.
            const underWay = flying
              ? JSON.parse(flying.text).samplings.flatMap((s: any) => s.readings).length
              : 0
            expect(outbox.size).toBeLessThanOrEqual(Math.max(readings, underWay))
            expect(delivered.length + outbox.size + outbox.dropped).toBe(made)
          }
          expect(delivered).toEqual([...delivered].sort((a, b) => a - b))
          expect(new Set(delivered).size).toBe(delivered.length)
        },
      ),
    )
  })

  it('counts packs from 0 without a gap', () => {
    const outbox = new Outbox({ readings: 100, packReadings: 2 })
    for (let n = 0; n < 10; n++) outbox.add(sampling(n, 1))
    const seqs: number[] = []
    for (let pack = outbox.next(); pack; pack = outbox.next()) {
      seqs.push(pack.seq)
      outbox.acknowledged(pack.seq)
    }
    expect(seqs).toEqual([0, 1, 2, 3, 4])
  })

  it('empties a long backlog, pack after pack', () => {
    const outbox = new Outbox({ readings: 1e6, packReadings: 100 })
    for (let n = 0; n < 200_000; n++) outbox.add(sampling(n, 1))
    for (let pack = outbox.next(); pack; pack = outbox.next()) outbox.acknowledged(pack.seq)
    expect(outbox.size).toBe(0)
  })

  it('refuses limits that are none', () => {
    for (const bad of [NaN, 0, -1]) {
      expect(() => new Outbox({ readings: bad, packReadings: 1 })).toThrow(/^Cannot make an outbox/)
      expect(() => new Outbox({ readings: 1, packReadings: bad })).toThrow(/^Cannot make an outbox/)
    }
  })
})

describe('backing off', () => {
  it('doubles up to the most, spread over the upper half, and starts over', () => {
    const backoff = new Backoff({ firstMs: 100, mostMs: 1000 }, seededRandom(1))
    for (const full of [100, 200, 400, 800, 1000, 1000]) {
      const waitMs = backoff.nextMs()
      expect(waitMs).toBeGreaterThanOrEqual(full / 2)
      expect(waitMs).toBeLessThanOrEqual(full)
    }
    backoff.reset()
    expect(backoff.nextMs()).toBeLessThanOrEqual(100)
  })

  it('sends a hundred devices back at a hundred different moments', () => {
    const waits = Array.from({ length: 100 }, (_, seed) =>
      new Backoff({ firstMs: 1000, mostMs: 60_000 }, seededRandom(seed)).nextMs(),
    )
    expect(new Set(waits).size).toBe(100)
    expect(Math.max(...waits) - Math.min(...waits)).toBeGreaterThan(400)
  })
})
