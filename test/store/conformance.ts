import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { Quality, QUARANTINE_PAYLOAD_BYTES } from '../../broker/intake/reading.ts'
import { AlarmState } from '../../broker/rules/alarm.ts'
import { Role, type Store } from '../../broker/store/contract.ts'
import {
  alarm,
  assignment,
  batch,
  DAY_MS,
  pack,
  reading,
  source,
  START_MS,
  unreadable,
  vessel,
} from './examples.ts'
import { storeRefusals } from './conformance-refusals.ts'

/** One place where a store keeps things, for the length of one test. */
export interface Place {
  /** Opens the store; after a close, again, with what was kept. `nowMs` is what its clock says. */
  open(nowMs?: () => number): Promise<Store>
  /** Leaves the store without room until the returned function is called. */
  fill(store: Store): Promise<() => void>
  dispose(): Promise<void>
}

/** What every store must do, whatever it stands on. */
export function storeConformance(name: string, makePlace: () => Promise<Place>): void {
  describe(`${name}: what every store does`, () => {
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

    describe('readings', () => {
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

    describe('records', () => {
      it('keeps the newest 1,000 unreadable messages, cut, newest first, page by page', async () => {
        const long = new Uint8Array(QUARANTINE_PAYLOAD_BYTES + 1).fill(7)
        await Promise.all(Array.from({ length: 1005 }, (_, n) => store.keepQuarantine(unreadable(n))))
        await store.keepQuarantine(unreadable(2000, { payload: long, bytes: long.length }))
        await reopen()
        const all = await store.quarantine(5000)
        expect(all).toHaveLength(1000)
        expect(all[0]).toMatchObject({ detail: 'message 2000 is not JSON', bytes: long.length })
        expect(all[0]!.payload).toEqual(long.subarray(0, QUARANTINE_PAYLOAD_BYTES))
        const { id, ...entry } = all[1]!
        expect(entry).toEqual(unreadable(1004))
        expect((await store.quarantine(2, id)).map(({ detail }) => detail)).toEqual([
          'message 1003 is not JSON',
          'message 1002 is not JSON',
        ])
      })

      it('keeps vessels, assignments and batches by id, and changes them', async () => {
        await store.keepVessel(vessel('v2', { createdAtMs: START_MS + 1 }))
        await store.keepVessel(vessel('v1'))
        await store.keepVessel(
          vessel('v2', { createdAtMs: START_MS + 1, name: 'Big cone', retiredAtMs: START_MS + 9 }),
        )
        await store.keepAssignment(assignment('a1'))
        await store.keepAssignment(assignment('a2', { role: Role.air, fromMs: START_MS - 1 }))
        await store.keepAssignment(assignment('a1', { toMs: START_MS + 5 }))
        await reopen()
        expect(await store.vessels()).toEqual([
          vessel('v1'),
          vessel('v2', { createdAtMs: START_MS + 1, name: 'Big cone', retiredAtMs: START_MS + 9 }),
        ])
        expect(await store.assignments()).toEqual([
          assignment('a2', { role: Role.air, fromMs: START_MS - 1 }),
          assignment('a1', { toMs: START_MS + 5 }),
        ])
      })

      it('lists batches newest first, by vessel, open or ended', async () => {
        const b1 = batch('b1', { endedAtMs: START_MS + DAY_MS, note: 'good' })
        const b2 = batch('b2', { vesselId: 'v2', startedAtMs: START_MS + 1 })
        const b3 = batch('b3', { startedAtMs: START_MS + 2, lot: null })
        await store.keepBatch(batch('b1'))
        await Promise.all([b2, b3, b1].map(each => store.keepBatch(each)))
        expect(await store.batches()).toEqual([b3, b2, b1])
        expect(await store.batches({ vesselId: 'v1' })).toEqual([b3, b1])
        expect(await store.batches({ open: true })).toEqual([b3, b2])
        expect(await store.batches({ open: false, vesselId: 'v1' })).toEqual([b1])
        expect(await store.batches({ limit: 1 })).toEqual([b3])
        expect(await store.batch('b1')).toEqual(b1)
        expect(await store.batch('b9')).toBeUndefined()
      })

      it('keeps alarms by id, standing ones apart', async () => {
        const ended = alarm('x1', {
          state: AlarmState.normal,
          clearedAtMs: START_MS + 10,
          acknowledgedAtMs: START_MS + 20,
          acknowledgedBy: 'Ada',
        })
        const standing = alarm('x2', { vesselId: 'v2', raisedAtMs: START_MS + 5, state: AlarmState.latched })
        const older = alarm('x3', { raisedAtMs: START_MS - 5, value: null, limit: null })
        await store.keepAlarm(alarm('x1'))
        await Promise.all([standing, older, ended].map(each => store.keepAlarm(each)))
        await reopen()
        expect(await store.standingAlarms()).toEqual([older, standing])
        expect(await store.alarms({ limit: 10 })).toEqual([standing, ended, older])
        expect(await store.alarms({ limit: 10, vesselId: 'v1' })).toEqual([ended, older])
        expect(await store.alarms({ limit: 1, beforeMs: START_MS + 5 })).toEqual([ended])
      })

      it('drops alarms that ended two years ago, and none that stands', async () => {
        await store.keepAlarm(alarm('stands'))
        await store.keepAlarm(alarm('ended', { state: AlarmState.normal, clearedAtMs: START_MS + DAY_MS }))
        const ids = async () => (await store.alarms({ limit: 9 })).map(({ id }) => id).sort()
        nowMs = START_MS + 2 * 365 * DAY_MS
        await store.keepAlarm(alarm('later', { raisedAtMs: nowMs }))
        expect(await ids()).toEqual(['ended', 'later', 'stands'])
        nowMs += 3 * DAY_MS
        await store.keepAlarm(alarm('later', { raisedAtMs: nowMs }))
        expect(await ids()).toEqual(['later', 'stands'])
      })

      it('keeps what the rules remember, documents, tokens', async () => {
        await store.keepRuleMemory({ vesselId: 'v1', json: '{"v":1}' })
        await store.keepRuleMemory({ vesselId: 'v1', json: '{"v":2}' })
        await store.keepDocument('settings', '{"a":1}')
        await store.keepDocument('settings', '{"a":2}')
        await store.keepToken({ name: 't', hash: 'h1', createdAtMs: START_MS })
        await store.keepToken({ name: 't', hash: 'h2', createdAtMs: START_MS })
        await reopen()
        expect(await store.ruleMemory()).toEqual([{ vesselId: 'v1', json: '{"v":2}' }])
        expect(await store.document('settings')).toBe('{"a":2}')
        expect(await store.document('nothing')).toBeUndefined()
        expect(await store.tokens()).toEqual([{ name: 't', hash: 'h2', createdAtMs: START_MS }])
      })

      it('keeps sessions until they are dropped or expire', async () => {
        const session = (hash: string, expiresAtMs: number) => ({ hash, createdAtMs: START_MS, expiresAtMs })
        for (const [hash, expires] of [
          ['a', 10],
          ['b', 20],
          ['c', 30],
        ] as const)
          await store.keepSession(session(hash, START_MS + expires))
        await store.dropSession('c')
        await store.dropExpiredSessions(START_MS + 20)
        expect(await store.session('a')).toBeUndefined()
        expect(await store.session('b')).toEqual(session('b', START_MS + 20))
        expect(await store.session('c')).toBeUndefined()
      })

      it('adds devices, refuses a name that is taken, and frees it by revoking', async () => {
        const device = (name: string, secretHash: string) => ({ name, secretHash, createdAtMs: START_MS })
        await store.addDevice(device('bench-1', 's1'))
        const kept = store.keepDocument('beside', '1')
        await expect(store.addDevice(device('bench-1', 's2'))).rejects.toMatchObject({
          name: 'StoreError',
          code: 'duplicate',
        })
        await kept
        expect(await store.document('beside')).toBe('1')
        expect(await store.deviceSecret('bench-1')).toBe('s1')
        expect(await store.deviceSecret('bench-2')).toBeUndefined()
        if (store.revokeDevice === undefined) return
        expect(await store.revokeDevice('bench-1', START_MS + 1)).toBe(true)
        expect(await store.revokeDevice('bench-1', START_MS + 2)).toBe(false)
        expect(await store.deviceSecret('bench-1')).toBeUndefined()
        expect(await store.devices()).toEqual([
          { name: 'bench-1', createdAtMs: START_MS, revokedAtMs: START_MS + 1 },
        ])
        await store.addDevice(device('bench-1', 's3'))
        expect(await store.deviceSecret('bench-1')).toBe('s3')
      })
    })
  })
  storeRefusals(name, makePlace)
}
