import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { Quality } from '../../broker/intake/reading.ts'
import type { Store } from '../../broker/store/contract.ts'
import { DAY_MS, pack, reading, source, START_MS } from './examples.ts'
import { storeBooks } from './conformance-books.ts'
import { storeRecords } from './conformance-records.ts'
import { storeRefusals } from './conformance-refusals.ts'

/** One place where a store keeps things, for the length of one test. */
export interface Place {
  /** Opens the store; after a close, again, with what was kept. `nowMs` is what its clock says. */
  open(nowMs?: () => number): Promise<Store>
  /** Leaves the store without room until the returned function is called. */
  fill(store: Store): Promise<() => void | Promise<void>>
  dispose(): Promise<void>
}

/** What every store must do, whatever it stands on. */
export function storeConformance(name: string, makePlace: () => Promise<Place>): void {
  describe(`${name}: what every store does with readings`, () => {
    let place: Place
    let store: Store
    let nowMs = START_MS
    beforeEach(async () => {
      nowMs = START_MS
      place = await makePlace()
      store = await place.open(() => nowMs)
    })
    afterEach(async () => {
      await store.close()
      await place.dispose()
    })
    const reopen = async () => {
      await store.close()
      store = await place.open(() => nowMs)
    }

    it('gives back good, bad and missing values, oldest first, before and after packing and reopening', async () => {
      await store.keepPack(
        pack(2, { readings: [reading(START_MS + 2000, 85, { quality: Quality.powerOn })] }),
      )
      await store.keepPack(pack(0))
      await store.keepPack(
        pack(1, { readings: [reading(START_MS + 1000, null, { quality: Quality.reportedFault })] }),
      )
      const all = [
        { atMs: START_MS, value: 27, quality: Quality.good },
        { atMs: START_MS + 1000, value: null, quality: Quality.reportedFault },
        { atMs: START_MS + 2000, value: 85, quality: Quality.powerOn },
      ]
      expect(await store.samples([source()])).toEqual(all)
      await store.seal('bench-1')
      expect(await store.samples([source()])).toEqual(all)
      await reopen()
      expect(await store.samples([source()])).toEqual(all)
    })

    it('reads only within the source, end excluded, and adds its offset', async () => {
      await Promise.all([0, 1, 2, 3].map(seq => store.keepPack(pack(seq))))
      const part = source({ fromMs: START_MS + 1000, toMs: START_MS + 3000, offset: -1 })
      const values = async () => (await store.samples([part])).map(({ value }) => value)
      expect(await values()).toEqual([26.0625, 26.125])
      await store.seal('bench-1')
      expect(await values()).toEqual([26.0625, 26.125])
    })

    it('joins the sources of one role in time, each with its own offset', async () => {
      await store.keepPack(pack(0))
      await store.keepPack(pack(5, { device: 'bench-2' }))
      const sources = [source({ device: 'bench-2', offset: 1 }), source({ toMs: START_MS + 1000 })]
      expect((await store.samples(sources)).map(({ value }) => value)).toEqual([27, 28.3125])
    })

    it('puts a backlog that comes later into its place', async () => {
      for (const seq of [100, 101, 102]) await store.keepPack(pack(seq))
      await store.seal('bench-1')
      for (const seq of [0, 50, 101.5, 200].map(Math.ceil))
        await store.keepPack(pack(seq + 1000, { readings: [reading(START_MS + seq * 1000 + 1, seq)] }))
      await store.seal('bench-1')
      const times = (await store.samples([source()])).map(({ atMs }) => (atMs - START_MS) / 1000)
      expect(times).toEqual([0.001, 50.001, 100, 101, 102, 102.001, 200.001])
    })

    it('does not keep a pack twice, in one turn, later, after packing, or after reopening', async () => {
      await Promise.all([store.keepPack(pack(7)), store.keepPack(pack(7))])
      await store.keepPack(pack(7))
      await store.seal('bench-1')
      await store.keepPack(pack(7))
      await reopen()
      await store.keepPack(pack(7))
      expect(await store.samples([source()])).toHaveLength(1)
    })

    it('keeps a pack of another power-up, and each pack without a number', async () => {
      await store.keepPack(pack(7))
      await store.keepPack(pack(7, { boot: 'b2' }))
      for (const without of [{ boot: null }, { seq: null }, { boot: null, seq: null }]) {
        await store.keepPack(pack(7, without))
        await store.keepPack(pack(7, without))
      }
      expect(await store.samples([source()])).toHaveLength(8)
    })

    it('knows the numbers of the packs on disk, and only those, of each power-up', async () => {
      const kept = store.keepPack(pack(3))
      expect(store.seen('bench-1', 'b1')).toEqual([])
      await kept
      for (const seq of [0, 1, 9, 2]) await store.keepPack(pack(seq))
      await store.keepPack(pack(5, { boot: 'b2', readings: [] }))
      const check = () => {
        expect(store.seen('bench-1', 'b1')).toEqual([
          [0, 3],
          [9, 9],
        ])
        expect(store.seen('bench-1', 'b2')).toEqual([[5, 5]])
        expect(store.seen('bench-1', 'b3')).toEqual([])
        expect(store.seen('bench-2', 'b1')).toEqual([])
      }
      check()
      await store.seal('bench-1')
      check()
      await reopen()
      check()
    })

    it('knows the channels of each device, by name and unit', async () => {
      expect(store.channels('bench-1')).toEqual([])
      const readings = [reading(START_MS, 27), reading(START_MS, 1, { channel: 'pH', unit: 'pH' })]
      await store.keepPack(pack(0, { readings }))
      await store.keepPack(pack(1, { readings }))
      const known = [
        { name: 'water', unit: 'Cel' },
        { name: 'pH', unit: 'pH' },
      ]
      expect(store.channels('bench-1')).toEqual(known)
      await reopen()
      expect(store.channels('bench-1')).toEqual(known)
      expect(store.channels('another')).toEqual([])
    })

    it('names the newest sample of every channel, whatever came last', async () => {
      const air = { channel: 'air', quantity: 'air', unit: 'l/min' } as const
      await store.keepPack(
        pack(9, { readings: [reading(START_MS + 9000, 27), reading(START_MS + 9000, 1.5, air)] }),
      )
      await store.keepPack(
        pack(10, { readings: [reading(START_MS + 10_000, -127, { quality: Quality.disconnected })] }),
      )
      await store.seal('bench-1')
      await store.keepPack(
        pack(11, {
          readings: [
            reading(START_MS + 500, 26),
            reading(START_MS + 9500, null, { ...air, quality: Quality.reportedFault }),
          ],
        }),
      )
      await store.keepPack(pack(1, { device: 'bench-2' }))
      const latest = [
        {
          device: 'bench-1',
          channel: 'air',
          unit: 'l/min',
          atMs: START_MS + 9500,
          value: null,
          quality: Quality.reportedFault,
        },
        {
          device: 'bench-1',
          channel: 'water',
          unit: 'Cel',
          atMs: START_MS + 10_000,
          value: -127,
          quality: Quality.disconnected,
        },
        {
          device: 'bench-2',
          channel: 'water',
          unit: 'Cel',
          atMs: START_MS + 1000,
          value: 27.0625,
          quality: Quality.good,
        },
      ]
      const sorted = async () =>
        (await store.latest()).sort((a, b) => (a.device + a.channel < b.device + b.channel ? -1 : 1))
      expect(await sorted()).toEqual(latest)
      await reopen()
      expect(await sorted()).toEqual(latest)
    })

    it('draws every sample while there are few, and buckets with their extremes when there are many', async () => {
      for (let seq = 0; seq < 100; seq++) await store.keepPack(pack(seq))
      const span = { fromMs: START_MS, toMs: START_MS + 100_000 }
      const few = await store.history({
        channels: { waterC: [source({ offset: 1 })] },
        ...span,
        points: 100,
      })
      expect(few.waterC!.t).toHaveLength(100)
      expect(few.waterC!.mean).toEqual(few.waterC!.min)
      expect(few.waterC!.max[3]).toBe(28.1875)
      const many = await store.history({
        channels: { waterC: [source()], none: [source({ channel: 'x' })] },
        ...span,
        points: 10,
      })
      expect(many.none).toEqual({ t: [], min: [], max: [], mean: [] })
      const { t, min, max, mean } = many.waterC!
      expect(t.length).toBeGreaterThan(4)
      expect(t.length).toBeLessThanOrEqual(10)
      expect(Math.min(...min)).toBe(27)
      expect(Math.max(...max)).toBe(27 + 99 / 16)
      t.forEach((_, i) => expect(min[i]! <= mean[i]! && mean[i]! <= max[i]!).toBe(true))
    })

    it('drops what is old, except within the spans that are kept, and says how much', async () => {
      for (let day = 0; day < 10; day++) {
        await store.keepPack(
          pack(day, {
            readings: [0, 1, 2].map(hour => reading(START_MS + day * DAY_MS + hour * 3_600_000, day)),
          }),
        )
      }
      const keep = [source({ fromMs: START_MS + 2 * DAY_MS + 1, toMs: START_MS + 4 * DAY_MS })]
      const before = START_MS + 6 * DAY_MS + 1
      expect(await store.dropReadings(before, keep)).toBe(3 * 6 + 1 - 5)
      const days = (await store.samples([source()])).map(({ value }) => value)
      expect(days).toEqual([2, 2, 3, 3, 3, 6, 6, 7, 7, 7, 8, 8, 8, 9, 9, 9])
      expect(await store.dropReadings(before, keep)).toBe(0)
      expect(await store.dropReadings(before, [])).toBe(5)
      // Forgetting a reading is no reason to keep it again.
      await store.keepPack(pack(0))
      expect(await store.samples([source()])).toHaveLength(11)
    })

    it('has each commit resolve in the order of the calls', async () => {
      const order: number[] = []
      await Promise.all(
        [0, 1, 2, 3].map(n =>
          (n === 2 ? store.settled() : store.keepPack(pack(n))).then(() => order.push(n)),
        ),
      )
      expect(order).toEqual([0, 1, 2, 3])
      await store.settled()
    })
  })
  storeRecords(name, makePlace)
  storeBooks(name, makePlace)
  storeRefusals(name, makePlace)
}
