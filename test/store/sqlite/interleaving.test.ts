import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { Quality, type PlacedPack } from '../../../broker/intake/reading.ts'
import type { Sample } from '../../../broker/store/contract.ts'
import { naive, sameColumns } from '../history/naive.ts'
import { reading, source, START_MS } from '../examples.ts'
import { sqlitePlace } from './place.ts'

const device = fc.constantFrom('bench-1', 'bench-2')
const step = fc.oneof(
  {
    weight: 8,
    arbitrary: fc.record({
      kind: fc.constant('turn' as const),
      packs: fc.array(
        fc.record({
          device,
          boot: fc.constantFrom('b1', 'b2', null),
          seq: fc.option(fc.integer({ min: 0, max: 30 }), { freq: 10 }),
          seconds: fc.integer({ min: 0, max: 5000 }),
          values: fc.array(fc.option(fc.integer({ min: 400, max: 480 }), { freq: 10 }), {
            minLength: 0,
            maxLength: 40,
          }),
        }),
        { minLength: 1, maxLength: 6 },
      ),
    }),
  },
  { weight: 2, arbitrary: fc.record({ kind: fc.constant('seal' as const), device }) },
  {
    weight: 1,
    arbitrary: fc.record({
      kind: fc.constant('drop' as const),
      before: fc.integer({ min: 0, max: 3000 }),
      keepFrom: fc.integer({ min: 0, max: 3000 }),
      keepFor: fc.integer({ min: 0, max: 1000 }),
    }),
  },
  { weight: 1, arbitrary: fc.constant({ kind: 'reopen' as const }) },
  { weight: 1, arbitrary: fc.constant({ kind: 'full' as const }) },
)

describe('a SQLite store, whatever happens in whatever order', () => {
  it('loses nothing, doubles nothing, and draws what it holds', async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(step, { minLength: 3, maxLength: 25 }), async steps => {
        const place = await sqlitePlace()
        let store = await place.open()
        const expected = new Map<string, Sample[]>([
          ['bench-1', []],
          ['bench-2', []],
        ])
        const seen = new Map<string, Set<number>>()
        try {
          for (const step of steps) {
            if (step.kind === 'seal') await store.seal(step.device)
            if (step.kind === 'reopen') {
              await store.close()
              store = await place.open()
            }
            if (step.kind === 'drop') {
              const beforeMs = START_MS + step.before * 1000
              const keep = source({
                fromMs: START_MS + step.keepFrom * 1000,
                toMs: START_MS + (step.keepFrom + step.keepFor) * 1000,
              })
              let dropped = 0
              for (const [device, samples] of expected) {
                const left = samples.filter(
                  ({ atMs }) =>
                    atMs >= beforeMs || (device === keep.device && atMs >= keep.fromMs && atMs < keep.toMs),
                )
                dropped += samples.length - left.length
                expected.set(device, left)
              }
              expect(await store.dropReadings(beforeMs, [keep])).toBe(dropped)
            }
            if (step.kind === 'full') {
              const free = await place.fill(store)
              const lost = store.keepPack({
                ...aPack,
                readings: Array.from({ length: 3000 }, (_, i) => reading(START_MS + i, i)),
              })
              await expect(lost).rejects.toMatchObject({ code: 'full' })
              await free()
            }
            if (step.kind !== 'turn') continue
            const turn: Promise<void>[] = []
            for (const { device, boot, seq, seconds, values } of step.packs) {
              const readings = values.map((count, i) =>
                reading(START_MS + (seconds + i) * 1000, count === null ? null : count / 16, {
                  quality: count === null ? Quality.reportedFault : Quality.good,
                }),
              )
              turn.push(store.keepPack({ device, boot, seq, receivedAtMs: START_MS + 5_000_000, readings }))
              const key = `${device} ${boot}`
              const numbers = seen.get(key) ?? new Set()
              seen.set(key, numbers)
              if (boot !== null && seq !== null) {
                if (numbers.has(seq)) continue
                numbers.add(seq)
              }
              expected
                .get(device)!
                .push(...readings.map(({ atMs, value, quality }) => ({ atMs, value, quality })))
            }
            await Promise.all(turn)
          }
          for (const [device, samples] of expected) {
            const found = await store.samples([source({ device })])
            expect(found.map(({ atMs }) => atMs)).toEqual(
              [...found.map(({ atMs }) => atMs)].sort((a, b) => a - b),
            )
            expect(found.map(asText).sort()).toEqual(samples.map(asText).sort())
            for (const boot of ['b1', 'b2']) {
              const numbers = store
                .seen(device, boot)
                .flatMap(([from, to]) => Array.from({ length: to - from + 1 }, (_, i) => from + i))
              expect(numbers).toEqual([...(seen.get(`${device} ${boot}`) ?? [])].sort((a, b) => a - b))
            }
            const newest = Math.max(-1, ...samples.map(({ atMs }) => atMs))
            const latest = (await store.latest()).find(row => row.device === device)
            expect(latest?.atMs ?? -1).toBe(newest)
            const span = { fromMs: START_MS + 700_000, toMs: START_MS + 4_000_000, points: 40 }
            const { water } = await store.history({ channels: { water: [source({ device })] }, ...span })
            expect(sameColumns(water!, naive(samples, span.fromMs, span.toMs, span.points))).toBe(true)
          }
        } finally {
          await store.close()
          await place.dispose()
        }
      }),
      { numRuns: 40 },
    )
  }, 60_000)
})

const aPack: PlacedPack = { device: 'bench-1', boot: 'lost', seq: 1, receivedAtMs: START_MS, readings: [] }
const asText = ({ atMs, value, quality }: Sample) => `${atMs} ${value} ${quality}`
