import { readFileSync } from 'node:fs'
import { gunzipSync, gzipSync } from 'node:zlib'
import { describe, expect, it } from 'vitest'
import type { HandedOver } from '../../../broker/room/handover/format.ts'
import { read } from '../../../broker/room/handover/read.ts'
import { takeIn } from '../../../broker/room/handover/take-in.ts'
import { unpacked } from '../../../broker/room/handover/unpacked.ts'
import { StoreError, StoreErrorCode } from '../../../broker/store/contract.ts'
import { HOUR, openTestRoom } from '../opened.ts'

const SEASON = new URL('../../../sim/demo/season.json.gz', import.meta.url)
const { batches } = JSON.parse(gunzipSync(readFileSync(SEASON)).toString()) as { batches: HandedOver[] }
const whole = batches[0]!

describe('a batch that is taken into the books while the disk fills up', () => {
  it.each([
    ['its readings', ['keepPack']],
    ['the log of its watch', ['keepWatch']],
    ['itself', ['keepVessel', 'keepBatch', 'keepAssignment', 'keepBatchEvent', 'keepAlarm']],
  ] as const)(
    'at %s is not in the books at all, and is taken whole when there is room again',
    async (_, methods) => {
      const opened = await openTestRoom(whole.batch.endedAtMs! + HOUR)
      try {
        const { store, room } = opened
        const asItWas = Object.fromEntries(methods.map(method => [method, store[method].bind(store)]))
        // Of many rows the first is kept, as it would be; of the batch itself nothing is, because it is written in one turn.
        let left = methods.length === 1 ? 1 : 0
        for (const method of methods) {
          const kept: (row: never) => Promise<void> = store[method].bind(store)
          store[method] = (row: never) =>
            left-- > 0 ? kept(row) : Promise.reject(new StoreError(StoreErrorCode.full, 'Cannot keep: full'))
        }
        const take = async () => takeIn(store, room, unpacked(await read(gzipSync(JSON.stringify(whole)))))
        await expect(take()).rejects.toThrow('full')
        expect([await store.batches({}), await room.lots(), await store.alarms({ limit: 9 })]).toEqual([
          [],
          [],
          [],
        ])
        Object.assign(store, asItWas)
        await take()
        const [row] = await store.batches({})
        expect(row).toMatchObject({ id: whole.batch.id })
        const water = whole.channels.filter(({ role }) => role === 'water')
        const sources = water.map(({ device, channel, fromMs, toMs }) => ({
          device: `brought-in/${device}`,
          channel,
          offset: 0,
          fromMs,
          toMs: toMs ?? Number.MAX_SAFE_INTEGER,
        }))
        const count = water.reduce((sum, { readings }) => sum + readings.afterMs.length, 0)
        expect(await store.samples(sources)).toHaveLength(count)
        const span = { fromMs: 0, toMs: Number.MAX_SAFE_INTEGER, limit: 100_000 }
        const lines = (await store.watchLog(span)).filter(({ vesselId }) => vesselId === whole.vessel.id)
        const own = whole.watch.filter(
          ({ kind, vesselId }) => vesselId !== null && kind !== 'began' && kind !== 'settings',
        )
        expect(lines).toHaveLength(own.length)
        expect(await store.alarms({ limit: 10_000 })).toHaveLength(whole.alarms.length)
        expect(await store.batchEvents(whole.batch.id)).toHaveLength(whole.events.length)
      } finally {
        await opened.close()
      }
    },
  )
})
