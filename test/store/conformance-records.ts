import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { QUARANTINE_PAYLOAD_BYTES } from '../../broker/intake/reading.ts'
import { AlarmState } from '../../broker/rules/alarm.ts'
import { DeliveryState, Role, type Store, type WatchRow } from '../../broker/store/contract.ts'
import type { Place } from './conformance.ts'
import {
  alarm,
  assignment,
  batch,
  batchEvent,
  DAY_MS,
  delivery,
  START_MS,
  unreadable,
  vessel,
} from './examples.ts'

/** Everything that is kept but readings. */
export function storeRecords(name: string, makePlace: () => Promise<Place>): void {
  describe(`${name}: what every store does with records`, () => {
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

    it('finds a discarded batch no more, nor counts it for its lot, and keeps what it is told of it later', async () => {
      await store.keepBatch(batch('b1'))
      await store.keepBatch(batch('b2', { startedAtMs: START_MS + 1 }))
      await store.discardBatch('b1', START_MS + 9)
      await store.keepBatch(batch('b1', { note: 'late' }))
      await store.keepBatchEvent(batchEvent('e1'))
      await reopen()
      expect((await store.batches()).map(({ id }) => id)).toEqual(['b2'])
      expect(await store.batch('b1')).toBeUndefined()
      expect(await store.lots()).toEqual([{ name: 'spring', batches: 1, lastUsedAtMs: START_MS + 1 }])
      expect(await store.batchEvents('b1')).toHaveLength(1)
    })

    it('lists the batches of a lot, and the lots', async () => {
      const b1 = batch('b1')
      const b2 = batch('b2', { startedAtMs: START_MS + 5, lot: 'autumn', goal: 'smallest' })
      const b3 = batch('b3', { startedAtMs: START_MS + 2 })
      await Promise.all([b1, b2, b3, batch('b4', { lot: null })].map(each => store.keepBatch(each)))
      expect(await store.batches({ lot: 'spring' })).toEqual([b3, b1])
      expect(await store.batches({ lot: 'autumn' })).toEqual([b2])
      expect(await store.lots()).toEqual([
        { name: 'autumn', batches: 1, lastUsedAtMs: START_MS + 5 },
        { name: 'spring', batches: 2, lastUsedAtMs: START_MS + 2 },
      ])
    })

    it('keeps what people saw in the order of its time, and takes it back without losing it', async () => {
      const late = batchEvent('e1', { atMs: START_MS + 7 })
      const early = batchEvent('e2', { atMs: START_MS + 3 })
      await Promise.all(
        [late, early, batchEvent('e3', { batchId: 'b2' })].map(each => store.keepBatchEvent(each)),
      )
      await store.keepBatchEvent({ ...late, withdrawnAtMs: START_MS + 20 })
      await reopen()
      expect(await store.batchEvents('b1')).toEqual([early, { ...late, withdrawnAtMs: START_MS + 20 }])
      expect(await store.batchEvents('b9')).toEqual([])
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

    it('finds the alarms that stood in a span, by vessel, rule and priority, page by page', async () => {
      const over = (id: string, raisedAtMs: number, clearedAtMs: number, more = {}) =>
        alarm(id, { raisedAtMs, clearedAtMs, state: AlarmState.normal, ...more })
      const before = over('x1', START_MS, START_MS + 10)
      const across = over('x2', START_MS + 5, START_MS + 25, { rule: 'air-lost', priority: 'high' })
      const within = over('x3', START_MS + 20, START_MS + 30, { vesselId: 'v2' })
      const stands = alarm('x4', { raisedAtMs: START_MS + 1, vesselId: null, rule: 'power-lost' })
      const after = over('x5', START_MS + 40, START_MS + 50)
      await Promise.all([before, across, within, stands, after].map(each => store.keepAlarm(each)))
      const span = { sinceMs: START_MS + 20, beforeMs: START_MS + 40 }
      expect(await store.alarms({ ...span, limit: 9 })).toEqual([within, across, stands])
      expect(await store.alarms({ ...span, limit: 1, skip: 1 })).toEqual([across])
      expect(await store.alarms({ ...span, vesselId: 'v1', limit: 9 })).toEqual([across])
      expect(await store.alarms({ ...span, rule: 'power-lost', limit: 9 })).toEqual([stands])
      expect(await store.alarms({ ...span, priority: 'high', limit: 9 })).toEqual([across])
    })

    it('keeps the log of the watch in the order of its times, by kind', async () => {
      const line = (kind: 'began' | 'alarm' | 'act', after: number): WatchRow => ({
        kind,
        atMs: START_MS + after,
        vesselId: kind === 'began' ? null : 'v1',
        alarmId: kind === 'alarm' ? 'x1' : null,
        json: `{"n":${after}}`,
      })
      const [began, late, early, act] = [line('began', 0), line('alarm', 9), line('alarm', 3), line('act', 9)]
      for (const each of [began, late, early, act]) await store.keepWatch(each)
      await reopen()
      const span = { fromMs: START_MS, toMs: START_MS + 10, limit: 9 }
      expect(await store.watchLog(span)).toEqual([began, early, late, act])
      expect(await store.watchLog({ ...span, kinds: ['alarm'] })).toEqual([early, late])
      expect(await store.watchLog({ ...span, fromMs: START_MS + 3, toMs: START_MS + 9 })).toEqual([early])
      expect(await store.watchLog({ ...span, limit: 2 })).toEqual([began, early])
      expect(await store.watchLog({ ...span, limit: 2, newest: true })).toEqual([late, act])
    })

    it('keeps two years of the log of the watch', async () => {
      const line = { kind: 'began', vesselId: null, alarmId: null, json: '{}' } as const
      await store.keepWatch({ ...line, atMs: START_MS })
      await store.keepWatch({ ...line, atMs: START_MS + 9 * DAY_MS })
      nowMs = START_MS + (2 * 365.25 + 1) * DAY_MS
      // Age is looked at where alarms come.
      await store.keepAlarm(alarm('x1', { raisedAtMs: nowMs }))
      await store.settled()
      const kept = await store.watchLog({ fromMs: 0, toMs: nowMs, limit: 9 })
      expect(kept.map(({ atMs }) => atMs)).toEqual([START_MS + 9 * DAY_MS])
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

    it('keeps what people are to be told until it is done, oldest first, and changes it by its key', async () => {
      const second = delivery('d2', { createdAtMs: START_MS + 1 })
      const done = { state: DeliveryState.delivered, attempts: 2, doneAtMs: START_MS + 9 }
      const tried = { attempts: 1, nextAtMs: START_MS + 4000, error: 'The mail server is busy' }
      await Promise.all([second, delivery('d1'), delivery('d3')].map(each => store.keepDelivery(each)))
      await store.keepDelivery(delivery('d1', tried))
      await store.keepDelivery(delivery('d3', done))
      await reopen()
      expect(await store.waitingDeliveries()).toEqual([delivery('d1', tried), second])
      expect(await store.deliveries(9)).toEqual([delivery('d3', done), delivery('d1', tried), second])
      expect(await store.deliveries(1)).toEqual([delivery('d3', done)])
    })

    it('keeps the newest 2,000 deliveries that are done, and every one that waits', async () => {
      const waits = [delivery('w1'), delivery('w2', { alarmId: null })]
      await Promise.all(waits.map(each => store.keepDelivery(each)))
      await Promise.all(
        Array.from({ length: 2005 }, (_, n) =>
          store.keepDelivery(
            delivery(`d${n}`, { state: DeliveryState.failed, error: 'gone', doneAtMs: START_MS + n }),
          ),
        ),
      )
      expect(await store.waitingDeliveries()).toEqual(waits)
      const all = await store.deliveries(5000)
      expect(all).toHaveLength(2002)
      expect(all.some(({ id }) => id === 'd4')).toBe(false)
      expect(all.some(({ id }) => id === 'd5')).toBe(true)
    })

    it('keeps who was told of which alarm until it is forgotten', async () => {
      await store.keepTelling({ alarmId: 'x2', json: '{"told":[]}' })
      await store.keepTelling({ alarmId: 'x1', json: '{"told":[]}' })
      await store.keepTelling({ alarmId: 'x1', json: '{"told":["p1"]}' })
      await store.keepTelling({ alarmId: 'x2', json: null })
      await store.keepTelling({ alarmId: 'x9', json: null })
      await reopen()
      expect(await store.tellings()).toEqual([{ alarmId: 'x1', json: '{"told":["p1"]}' }])
    })

    it('keeps what the rules remember, documents, tokens', async () => {
      await store.keepRuleMemory({ vesselId: 'v1', json: '{"v":1}' })
      await store.keepRuleMemory({ vesselId: 'v1', json: '{"v":2}' })
      await store.keepDocument('settings', '{"a":1}')
      await store.keepDocument('settings', '{"a":2}')
      await store.keepToken({ name: 't', hash: 'h1', createdAtMs: START_MS, role: 'owner' })
      await store.keepToken({ name: 't', hash: 'h2', createdAtMs: START_MS, role: 'viewer' })
      await reopen()
      expect(await store.ruleMemory()).toEqual([{ vesselId: 'v1', json: '{"v":2}' }])
      expect(await store.document('settings')).toBe('{"a":2}')
      expect(await store.document('nothing')).toBeUndefined()
      expect(await store.tokens()).toEqual([{ name: 't', hash: 'h2', createdAtMs: START_MS, role: 'viewer' }])
    })

    it('keeps sessions until they are dropped or expire', async () => {
      const session = (hash: string, expiresAtMs: number) => ({
        hash,
        createdAtMs: START_MS,
        expiresAtMs,
        person: hash === 'b' ? 'p1' : null,
        address: '10.0.0.7',
        agent: null,
      })
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
      expect((await store.sessions()).map(({ hash }) => hash)).toContain('b')
    })

    it('keeps the audit log, the newest first, and what failed apart from what was done', async () => {
      const line = (act: string, failed = false) => ({
        atMs: START_MS,
        act,
        subject: null,
        who: 'owner',
        role: 'owner',
        address: null,
        failed,
      })
      for (const act of ['a', 'b', 'c']) await store.keepAudit(line(act))
      await store.keepAudit(line('guess', true))
      const [newest, ...older] = await store.audit(9)
      expect(newest).toMatchObject(line('guess', true))
      expect(older.map(({ act }) => act)).toEqual(['c', 'b', 'a'])
      expect((await store.audit(1, newest?.id)).map(({ act }) => act)).toEqual(['c'])
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
}
