import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { Store } from '../../broker/store/contract.ts'
import type { Place } from './conformance.ts'
import {
  alarm,
  delivery,
  entry,
  photo,
  record,
  assignment,
  batch,
  batchEvent,
  pack,
  reading,
  source,
  START_MS,
  unreadable,
  vessel,
} from './examples.ts'

/** Longer than what room a full store may have left at the end of its pages. */
const LONG = 'x'.repeat(20_000)

/** Every method that writes, each with something that needs room. */
const WRITES: Record<string, (store: Store) => Promise<unknown>> = {
  keepPack: store =>
    store.keepPack(pack(500, { readings: Array.from({ length: 2000 }, (_, i) => reading(START_MS + i, i)) })),
  keepQuarantine: store => store.keepQuarantine(unreadable(1, { detail: LONG })),
  keepRuleMemory: store => store.keepRuleMemory({ vesselId: 'v1', json: LONG }),
  keepAlarm: store => store.keepAlarm(alarm('x1', { text: LONG })),
  keepWatch: store =>
    store.keepWatch({
      kind: 'act',
      atMs: START_MS,
      vesselId: null,
      alarmId: null,
      json: JSON.stringify(LONG),
    }),
  keepVessel: store => store.keepVessel(vessel('v1', { name: LONG })),
  keepAssignment: store => store.keepAssignment(assignment('a1', { channel: LONG })),
  keepBatchEvent: store => store.keepBatchEvent(batchEvent('e1', { json: JSON.stringify(LONG) })),
  keepBatch: store => store.keepBatch(batch('b1', { note: LONG })),
  keepDelivery: store => store.keepDelivery(delivery('x1', { json: JSON.stringify(LONG) })),
  keepTelling: store => store.keepTelling({ alarmId: 'x1', json: JSON.stringify(LONG) }),
  keepDocument: store => store.keepDocument('d', LONG),
  addDevice: store => store.addDevice({ name: 'd', secretHash: LONG, createdAtMs: START_MS }),
  keepRecord: store => store.keepRecord(record('r1', { json: JSON.stringify(LONG) })),
  keepEntry: store => store.keepEntry(entry('n1', { json: JSON.stringify(LONG) })),
  keepPhoto: store => store.keepPhoto(photo('p1', 20_000)),
  keepToken: store => store.keepToken({ name: 't', hash: LONG, createdAtMs: START_MS, role: 'owner' }),
  keepAudit: store =>
    store.keepAudit({
      atMs: START_MS,
      act: LONG,
      subject: null,
      who: 'owner',
      role: null,
      address: null,
      failed: false,
    }),
  keepSession: store =>
    store.keepSession({
      hash: LONG,
      createdAtMs: START_MS,
      expiresAtMs: START_MS,
      person: null,
      address: null,
      agent: null,
    }),
}
const REST: Record<string, (store: Store) => Promise<unknown>> = {
  latest: store => store.latest(),
  samples: store => store.samples([source()]),
  history: store => store.history({ channels: { water: [source()] }, fromMs: 0, toMs: START_MS, points: 9 }),
  seal: store => store.seal('bench-1'),
  dropReadings: store => store.dropReadings(0, []),
  quarantine: store => store.quarantine(9),
  settled: store => store.settled(),
  ruleMemory: store => store.ruleMemory(),
  standingAlarms: store => store.standingAlarms(),
  alarms: store => store.alarms({ limit: 9 }),
  watchLog: store => store.watchLog({ fromMs: 0, toMs: START_MS, limit: 9 }),
  discardBatch: store => store.discardBatch('b1', START_MS),
  vessels: store => store.vessels(),
  assignments: store => store.assignments(),
  batches: store => store.batches(),
  batch: store => store.batch('b1'),
  lots: store => store.lots(),
  batchEvents: store => store.batchEvents('b1'),
  waitingDeliveries: store => store.waitingDeliveries(),
  deliveries: store => store.deliveries(9),
  tellings: store => store.tellings(),
  document: store => store.document('d'),
  records: store => store.records('lot'),
  dropRecord: store => store.dropRecord({ kind: 'lot', id: 'r1' }),
  entries: store => store.entries('weighing'),
  photo: store => store.photo('p1'),
  photoTotals: store => store.photoTotals('b1'),
  eventsOfKind: store => store.eventsOfKind('note', 0),
  devices: store => store.devices(),
  deviceSecret: store => store.deviceSecret('d'),
  tokens: store => store.tokens(),
  session: store => store.session('h'),
  sessions: store => store.sessions(),
  audit: store => store.audit(9),
  dropSession: store => store.dropSession('h'),
  dropExpiredSessions: store => store.dropExpiredSessions(0),
}

/** Every method in every state, each followed by "and it works again". */
export function storeRefusals(name: string, makePlace: () => Promise<Place>): void {
  describe(`${name}: what every store refuses, and that it works after`, () => {
    let place: Place
    let store: Store
    beforeEach(async () => {
      place = await makePlace()
      store = await place.open()
    })
    afterEach(async () => {
      await store.close()
      await place.dispose()
    })
    const count = async () => (await store.samples([source()])).length

    for (const [method, call] of Object.entries({ ...WRITES, ...REST })) {
      it(`${method}: works when open, rejects with code closed after the close, works when opened again`, async () => {
        await call(store)
        await store.close()
        await expect(call(store)).rejects.toMatchObject({ name: 'StoreError', code: 'closed' })
        store = await place.open()
        await (method === 'addDevice' ? store.deviceSecret('d') : call(store))
      })
    }

    it('commits at the close what was asked for before it, and closes twice without complaint', async () => {
      const kept = store.keepPack(pack(1))
      await Promise.all([store.close(), store.close()])
      await kept
      expect(() => store.seen('bench-1', 'b1')).toThrow('closed')
      store = await place.open()
      expect(await count()).toBe(1)
      expect(store.seen('bench-1', 'b1')).toEqual([[1, 1]])
    })

    for (const [method, call] of Object.entries(WRITES)) {
      it(`${method}: rejects with code full when there is no room, and works when there is`, async () => {
        const free = await place.fill(store)
        await expect(call(store)).rejects.toMatchObject({ name: 'StoreError', code: 'full' })
        await free()
        await call(store)
        await store.settled()
      })
    }

    it('keeps a turn together or not at all, memory included, when there is no room', async () => {
      await store.keepPack(pack(0))
      const free = await place.fill(store)
      const turn = [
        store.keepPack(pack(1)),
        store.keepVessel(vessel('v1')),
        store.keepPack(pack(1, { boot: 'b2', readings: [reading(START_MS, 1, { channel: 'new' })] })),
        store.keepPack(pack(0, { device: 'bench-2' })),
        store.keepDocument('d', LONG),
        store.settled(),
      ]
      const results = await Promise.allSettled(turn)
      expect(results.map(({ status }) => status)).toEqual(turn.map(() => 'rejected'))
      const check = async () => {
        expect(store.seen('bench-1', 'b1')).toEqual([[0, 0]])
        expect(store.seen('bench-1', 'b2')).toEqual([])
        expect(store.seen('bench-2', 'b1')).toEqual([])
        expect(await store.vessels()).toEqual([])
        expect(await count()).toBe(1)
      }
      await check()
      await free()
      await check()
      await Promise.all([
        store.keepPack(pack(1)),
        store.keepVessel(vessel('v1')),
        store.keepPack(pack(1, { boot: 'b2', readings: [reading(START_MS, 1, { channel: 'new' })] })),
        store.keepPack(pack(0, { device: 'bench-2' })),
      ])
      await store.close()
      store = await place.open()
      expect(store.seen('bench-1', 'b1')).toEqual([[0, 1]])
      expect(store.seen('bench-1', 'b2')).toEqual([[1, 1]])
      expect(store.seen('bench-2', 'b1')).toEqual([[0, 0]])
      expect(await count()).toBe(2)
      expect(await store.samples([source({ channel: 'new' })])).toHaveLength(1)
    })

    it('reads while there is no room', async () => {
      await store.keepPack(pack(0))
      const free = await place.fill(store)
      for (const [method, call] of Object.entries(REST)) {
        if (method !== 'seal') await call(store)
      }
      expect(await count()).toBe(1)
      await free()
    })

    it('refuses one pack that cannot be kept exactly, and keeps the rest of its turn', async () => {
      const wrong = [
        pack(-1),
        pack(0.5),
        pack(1, { receivedAtMs: NaN }),
        pack(1, { readings: [reading(0.5, 1)] }),
        pack(1, { readings: [reading(-1, 1)] }),
        pack(1, { readings: [reading(Infinity, 1)] }),
        pack(1, { readings: [reading(0, 1, { quality: 'splendid' as never })] }),
      ]
      const before = store.keepPack(pack(8))
      const refused = wrong.map(each =>
        expect(store.keepPack(each)).rejects.toMatchObject({ code: 'failed' }),
      )
      await Promise.all([before, ...refused, store.keepPack(pack(9))])
      expect(await count()).toBe(2)
      expect(store.seen('bench-1', 'b1')).toEqual([[8, 9]])
    })

    it('refuses a history that has no end or no points', async () => {
      const query = { channels: { water: [source()] }, fromMs: 0, toMs: START_MS, points: 10 }
      for (const wrong of [
        { points: 0 },
        { points: NaN },
        { points: 1.5 },
        { points: 1e9 },
        { toMs: Infinity },
        { fromMs: NaN },
      ]) {
        await expect(store.history({ ...query, ...wrong })).rejects.toMatchObject({ code: 'failed' })
      }
      expect(await store.history(query)).toHaveProperty('water')
    })
  })
}
