import { readFileSync } from 'node:fs'
import { availableParallelism, loadavg } from 'node:os'
import { Worker } from 'node:worker_threads'
import { gunzipSync, gzipSync } from 'node:zlib'
import { monitorEventLoopDelay } from 'node:perf_hooks'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { HandedOver } from '../../../broker/room/handover/format.ts'
import { COLUMN } from '../../../broker/room/handover/columns.ts'
import { gather } from '../../../broker/room/handover/gather.ts'
import { Guests } from '../../../broker/room/handover/guests.ts'
import { read } from '../../../broker/room/handover/read.ts'
import { takeIn } from '../../../broker/room/handover/take-in.ts'
import { ThreadDesk } from '../../../broker/room/handover/thread-desk.ts'
import { unpacked } from '../../../broker/room/handover/unpacked.ts'
import { StoreError, StoreErrorCode } from '../../../broker/store/contract.ts'
import { HOUR, openTestRoom, type Opened } from '../opened.ts'

const SEASON = new URL('../../../sim/demo/season.json.gz', import.meta.url)
const { batches } = JSON.parse(gunzipSync(readFileSync(SEASON)).toString()) as { batches: HandedOver[] }
const whole = batches[0]!

/**
 * So long may the loop be held, ms: a reading that crosses its limit is called within one second, all in all. On a machine with more
 * to do than processors all lasts longer by as much.
 */
const HELD_MS = 100
const heldMs = () => HELD_MS * Math.max(1, loadavg()[0]! / availableParallelism())

/** How heavy the file is, in turns of 9 MB; with 6 it is about as heavy as one may be, and all takes a minute. */
const TURNS = Number(process.env['BRINEWATCH_FILE_TURNS'] ?? 1)

/** A sound file: six roles, and to each a device for 12 h in turn, at a reading a third of a second. */
function heavyFile(): { file: HandedOver; packed: Uint8Array } {
  const count = 125_000
  const turnMs = 12 * HOUR
  const { startedAtMs } = whole.batch
  const afterMs = `[0,${Array.from({ length: count - 1 }, (_, n) => 326 + (n % 10)).join(',')}]`
  const values = `[${Array.from({ length: count }, (_, n) => (27 + Math.round(Math.sin(n / 997) * 5000) / 1e4).toFixed(4)).join(',')}]`
  const channels: string[] = []
  for (let turn = 0; turn < TURNS; turn++)
    for (const role of ['water', 'upper-water', 'room', 'air', 'light', 'level'] as const) {
      const unit = { air: 'l/min', light: 'lx', level: '/' }[role as 'air'] ?? 'Cel'
      const fromMs = startedAtMs + turn * turnMs
      const row = {
        role,
        device: `d${turn}`,
        channel: role,
        unit,
        assignmentId: `a-${turn}-${role}`,
        offset: 0,
      }
      const readings = `{"startMs":${fromMs},"afterMs":${afterMs},"${COLUMN[role]}":${values},"quality":[["good",${count}]]}`
      const held = JSON.stringify({ ...row, fromMs, toMs: fromMs + turnMs })
      channels.push(`${held.slice(0, -1)},"readings":${readings}}`)
    }
  const batch = { ...whole.batch, endedAtMs: startedAtMs + TURNS * turnMs }
  const rest = JSON.stringify({ ...whole, batch, channels: [] })
  const text = rest.replace('"channels":[]', () => `"channels":[${channels.join(',')}]`)
  return { file: { ...whole, batch }, packed: gzipSync(text, { level: 1 }) }
}

/** Tells what a thread that does nothing has to wait for its turn at most, ms: so busy is the machine. */
const IDLE = `
  const { parentPort } = require('node:worker_threads')
  let [last, longest] = [performance.now(), 0]
  setInterval(() => {
    const now = performance.now()
    longest = Math.max(longest, now - last - 5)
    last = now
  }, 5)
  parentPort.on('message', () => (parentPort.postMessage(longest), (longest = 0)))
`

/** The longest that the event loop was held while something was done, ms, without what the machine itself makes everybody wait. */
async function longestHold(work: () => Promise<unknown>): Promise<number> {
  const idle = new Worker(IDLE, { eval: true })
  const waited = () =>
    new Promise<number>(resolve => {
      idle.once('message', resolve)
      idle.postMessage(null)
    })
  await waited()
  const delay = monitorEventLoopDelay({ resolution: 5 })
  delay.enable()
  try {
    await work()
    await new Promise(resolve => setTimeout(resolve, 20))
    return delay.max / 1e6 - 5 - (await waited())
  } finally {
    delay.disable()
    await idle.terminate()
  }
}

describe('a heavy file', () => {
  const { file, packed } = heavyFile()
  const desk = new ThreadDesk()
  let opened: Opened
  let guests: Guests
  beforeAll(async () => {
    opened = await openTestRoom(file.batch.endedAtMs! + HOUR)
    guests = new Guests({ store: opened.store, clock: () => opened.nowMs, desk })
  })
  afterAll(async () => {
    await desk.close()
    await opened.close()
  })

  it('is brought in, looked at and written out while everything else has its turn', async () => {
    const { id } = file.batch
    expect(await longestHold(() => guests.bring(packed, 'Bo'))).toBeLessThan(heldMs())
    const room = (await guests.room(id))!
    expect(await longestHold(() => room.forecast(id))).toBeLessThan(heldMs())
    await guests.remove(id)
    const own = async () => takeIn(opened.store, opened.room, await desk.unpack(packed))
    expect(await longestHold(own)).toBeLessThan(heldMs())
    const out = async () =>
      desk.write(await gather(opened.store, id, { nowMs: opened.nowMs, program: 'a test' }))
    expect(await longestHold(out)).toBeLessThan(heldMs())
  }, 120_000)
})

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
