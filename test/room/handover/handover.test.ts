import fc from 'fast-check'
import { gunzipSync, gzipSync } from 'node:zlib'
import { Ajv2020 as Ajv } from 'ajv/dist/2020.js'
import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { Quality } from '../../../broker/intake/reading.ts'
import { readRecording } from '../../../broker/replay/read-recording.ts'
import { replay, type ReplayedStep } from '../../../broker/replay/replay.ts'
import type { BatchEvidence } from '../../../broker/hatch/lot/evidence.ts'
import { evidenceKey } from '../../../broker/room/lot-book.ts'
import type { Store } from '../../../broker/store/contract.ts'
import { HandoverError, Refusal } from '../../../broker/room/handover/errors.ts'
import type { HandedOver } from '../../../broker/room/handover/format.ts'
import { Guests } from '../../../broker/room/handover/guests.ts'
import type { LookedAt } from '../../../broker/room/handover/desk.ts'
import { unpacked } from '../../../broker/room/handover/unpacked.ts'
import { heldStore } from '../../../broker/room/handover/held-store.ts'
import { read } from '../../../broker/room/handover/read.ts'
import { takeIn } from '../../../broker/room/handover/take-in.ts'
import { bytesOf, fileName, handOver } from '../../../broker/room/handover/write.ts'
import { HOUR_MS, LivedRoom, plain, settled, SETTINGS, SILENT, TICK_MS } from '../../replay/lived-room.ts'
import { openTestRoom } from '../opened.ts'
import { SCHEMA_FILE, schemaText } from './schema.ts'

const PROGRAM = 'brinewatch 0.0.0'
const STEP_MS = 240_000
const FORECAST_EVERY_MS = 600_000

/** What happens to the one vessel of a room, in hours of a batch. */
const Script = fc.array(
  fc.record({
    atStep: fc.integer({ min: 0, max: 200 }),
    forSteps: fc.integer({ min: 3, max: 60 }),
    kind: fc.constantFrom(
      'hot',
      'cold',
      'no-air',
      'dark',
      'bad-probe',
      'no-network',
      'acknowledge',
      'swap',
      'ph',
    ),
  }),
  { minLength: 1, maxLength: 6 },
)
type Episode =
  typeof Script extends fc.Arbitrary<infer T> ? (T extends readonly (infer E)[] ? E : never) : never

/** Two batches of a lot in one vessel, the second with troubles; both counted. */
async function live(script: readonly Episode[], steps = 240): Promise<{ lived: LivedRoom; batchId: string }> {
  const lived = await LivedRoom.open()
  const vesselId = await lived.addVessel('Cone 1 – window', 'probe-1')
  await lived.pass(1234)
  const dose = { vesselId, litres: 1, cystsG: 2, salinityGpl: 25, lot: 'Spring tin' }
  const count = (batchId: string, nauplii: number) =>
    lived.room.recordEvent(batchId, {
      kind: 'count',
      harvest: true,
      by: 'Ada',
      samples: Array.from({ length: 6 }, () => ({ sampleMl: 0.25, nauplii, umbrella: 2, embryos: 30 })),
    })
  const step = async (kinds: ReadonlySet<string>) => {
    const wave = Math.sin(lived.nowMs / 997_000) * 0.05
    const bad = kinds.has('bad-probe')
    lived.measure(
      'probe-1',
      {
        water: bad ? -127 : 27 + wave + (kinds.has('hot') ? 6.5 : 0) - (kinds.has('cold') ? 8 : 0),
        air: kinds.has('no-air') ? 0 : 0.6,
        light: kinds.has('dark') ? 5 : 3000,
      },
      { reaches: !kinds.has('no-network'), quality: bad ? Quality.disconnected : Quality.good },
    )
    await lived.pass(STEP_MS)
  }
  const first = await lived.room.startBatch(dose)
  for (let n = 0; n < 60; n++) await step(new Set())
  await count(first.id, 80)
  await lived.room.endBatch(first.id, {})
  for (let n = 0; n < 20; n++) await step(new Set())
  const { id: batchId } = await lived.room.startBatch(dose)
  for (let n = 0; n < steps; n++) {
    const now = script.filter(({ atStep, forSteps }) => n >= atStep && n < atStep + forSteps)
    for (const { atStep, kind, forSteps } of now) {
      if (n !== atStep) continue
      if (kind === 'swap')
        await lived.room.assignChannels(vesselId, { channels: {}, offsets: { water: forSteps / 40 } })
      if (kind === 'ph') await lived.room.recordEvent(batchId, { kind: 'ph', ph: 6.9, by: 'Ada' })
      if (kind !== 'acknowledge') continue
      for (const alarm of await lived.room.alarms({ standing: true, limit: 9 }))
        if (alarm.acknowledgedAtMs === null) await lived.room.acknowledge(alarm.id, 'Ada')
    }
    await step(new Set(now.map(({ kind }) => kind)))
  }
  await count(batchId, 20)
  await lived.room.endBatch(batchId, { note: 'thin' })
  for (let n = 0; n < 20; n++) await step(new Set())
  await settled()
  return { lived, batchId }
}

/** All that a person sees of a batch. */
async function looked(room: LookedAt, batchId: string) {
  const batch = await room.batch(batchId)
  const [fromMs, toMs] = [batch.startedAtMs, batch.endedAtMs! + 1]
  const { entries } = await room.journal({ fromMs, toMs, skip: 0, limit: 1000 })
  return {
    batch,
    entries,
    events: await room.batchEvents(batchId),
    diagnosis: await room.diagnosis(batchId),
    forecast: await room.forecast(batchId),
    course: await room.course(batchId, { points: 50 }),
  }
}

const write = ({ store, nowMs }: LivedRoom, batchId: string, names = true) =>
  handOver(store, batchId, { nowMs, program: PROGRAM, names })

describe('a batch that is written out and brought in elsewhere', () => {
  it('is the same there: readings, log, alarms step by step, forecast and diagnosis', async () => {
    let alarms = 0
    await fc.assert(
      fc.asyncProperty(Script, async script => {
        const { lived, batchId } = await live(script)
        const elsewhere = await openTestRoom(lived.nowMs + 30 * 24 * HOUR_MS)
        try {
          const guests = new Guests({ store: elsewhere.store, clock: () => elsewhere.nowMs })
          await guests.bring(await bytesOf(await write(lived, batchId)), 'Bo')
          const there = await looked((await guests.room(batchId))!, batchId)
          const here = await looked(lived.room, batchId)
          alarms += here.entries.length
          expect(there).toEqual(here)
          const sources = (await lived.store.assignments()).map(row => ({
            ...row,
            fromMs: here.batch.startedAtMs,
            toMs: here.batch.endedAtMs! + HOUR_MS,
          }))
          const held = await heldStore(await read((await guests.file(batchId))!))
          for (const source of sources)
            expect(await held.samples([source])).toEqual(await lived.store.samples([source]))
          expect(elsewhere.room.snapshot().vessels).toEqual([])
          expect(await elsewhere.room.lots()).toEqual([])
        } finally {
          await elsewhere.close()
        }
      }),
      { numRuns: 2 },
    )
    expect(alarms).toBeGreaterThan(1)
  }, 60_000)

  it('is judged there as it was here', async () => {
    const { lived, batchId } = await live(
      [
        { atStep: 40, forSteps: 20, kind: 'hot' },
        { atStep: 50, forSteps: 3, kind: 'acknowledge' },
        { atStep: 120, forSteps: 30, kind: 'no-air' },
        { atStep: 200, forSteps: 20, kind: 'no-network' },
      ],
      260,
    )
    const { startedAtMs, endedAtMs } = await lived.room.batch(batchId)
    const span = { fromMs: startedAtMs - HOUR_MS / 2, toMs: endedAtMs! }
    const steps = async (store: Parameters<typeof readRecording>[0]) => {
      const found: ReplayedStep[] = []
      await replay(await readRecording(store, span), SETTINGS, {
        logger: SILENT,
        breathe: settled,
        onStep: step => found.push(step),
        forecastEveryMs: FORECAST_EVERY_MS,
        tickMs: TICK_MS,
      })
      return plain(found)
    }
    const here = await steps(lived.store)
    expect(here.length).toBeGreaterThan(5)
    expect(await steps(await heldStore(await write(lived, batchId)))).toEqual(here)
  })

  it('carries a second probe of the water, with the part that it plays', async () => {
    const here = await openTestRoom()
    const elsewhere = await openTestRoom(here.nowMs + 24 * HOUR_MS)
    try {
      const { row } = await here.room.createVessel({ name: 'Cone 1', litres: 1 })
      const channels = {
        water: { device: 'd', channel: '1/water' },
        'upper-water': { device: 'd', channel: '2/water' },
      }
      await here.room.assignChannels(row.id, { channels, offsets: {} })
      const batch = await here.room.startBatch({ vesselId: row.id, litres: 1, cystsG: 2, salinityGpl: 25 })
      for (const waterC of [27, 27.5, 28]) {
        here.nowMs += 60_000
        await here.send('d', { '1/water': 26, '2/water': waterC })
      }
      await here.room.endBatch(batch.id, {})
      const file = await handOver(here.store, batch.id, { nowMs: here.nowMs, program: PROGRAM, names: true })
      const upper = file.channels.find(({ role }) => role === 'upper-water')
      expect(upper).toMatchObject({
        channel: '2/water',
        unit: 'Cel',
        readings: { upperWaterC: [27, 27.5, 28] },
      })
      await takeIn(elsewhere.store, elsewhere.room, unpacked(file))
      const span = { fromMs: batch.startedAtMs, toMs: here.nowMs + 1, points: 5000 }
      const there = await elsewhere.room.readings(row.id, span)
      expect(there['upper-water']?.mean).toEqual([27, 27.5, 28])
      expect(there.water?.mean).toEqual([26, 26, 26])
    } finally {
      await here.close()
      await elsewhere.close()
    }
  })

  it('can be taken into the books: its lot learns, its alarms are in the journal, no vessel comes with it', async () => {
    const { lived, batchId } = await live([{ atStep: 40, forSteps: 20, kind: 'hot' }], 120)
    const file = await write(lived, batchId)
    const elsewhere = await openTestRoom(lived.nowMs + 24 * HOUR_MS)
    try {
      await takeIn(elsewhere.store, elsewhere.room, unpacked(file))
      const here = await looked(lived.room, batchId)
      const there = await looked(elsewhere.room, batchId)
      expect(there.entries.map(({ steps }) => steps)).toEqual(here.entries.map(({ steps }) => steps))
      expect(there.entries.length).toBeGreaterThan(0)
      expect(there.events).toEqual(here.events)
      expect(elsewhere.room.snapshot().vessels).toEqual([])
      expect((await elsewhere.room.lots())[0]).toMatchObject({ name: 'Spring tin', batches: 1 })
      // What it showed is reckoned from the water it had, as here, not from what was planned.
      const showed = async (store: Pick<Store, 'document'>) =>
        JSON.parse((await store.document(evidenceKey({ id: batchId })))!) as BatchEvidence
      const [was, is] = [await showed(lived.store), await showed(elsewhere.store)]
      expect(is.items).toHaveLength(was.items.length)
      for (const [at, { degH, degHSd }] of was.items.entries()) {
        expect(is.items[at]!.degH).toBeCloseTo(degH, 2)
        expect(Math.max(is.items[at]!.degHSd, degHSd)).toBeLessThan(0.1)
      }
      const query = { fromMs: file.batch.startedAtMs, toMs: file.batch.endedAtMs!, points: 5000 }
      const { water } = await elsewhere.room.readings(file.vessel.id, query)
      expect(water!.t).toHaveLength(120)
      const again = await elsewhere.reopen()
      expect(again.room.snapshot().devices).toEqual([])
      expect(await again.room.alarms({ standing: true, limit: 9 })).toEqual([])
      await again.close()
    } finally {
      await elsewhere.close().catch(() => undefined)
    }
  })
})

describe('a file of a batch', () => {
  it('is described by the JSON Schema beside it', async () => {
    expect(JSON.parse(readFileSync(SCHEMA_FILE, 'utf8'))).toEqual(JSON.parse(schemaText()))
    const { lived, batchId } = await live([{ atStep: 5, forSteps: 20, kind: 'hot' }], 60)
    const valid = new Ajv({ strict: false, formats: { 'date-time': true, base64: true } }).compile(
      JSON.parse(schemaText()) as object,
    )
    expect(valid(JSON.parse(JSON.stringify(await write(lived, batchId)))), JSON.stringify(valid.errors)).toBe(
      true,
    )
    expect(valid({ format: 'brinewatch-batch', version: 1 })).toBe(false)
  })

  it('says who did what, or leaves that out', async () => {
    const { lived, batchId } = await live(
      [
        { atStep: 5, forSteps: 20, kind: 'hot' },
        { atStep: 24, forSteps: 3, kind: 'acknowledge' },
      ],
      60,
    )
    expect(JSON.stringify(await write(lived, batchId))).toContain('Ada')
    const without = await write(lived, batchId, false)
    expect(JSON.stringify(without)).not.toContain('Ada')
    expect(without.written.names).toBe(false)
    expect(without.alarms.some(({ acknowledgedBy }) => acknowledgedBy === 'somebody')).toBe(true)
    expect(fileName(without)).toBe('cone-1-window-2026-01-05.batch.json.gz')
    // Readable by anybody: times are differences, values stand in a column that names their unit.
    const [water] = without.channels
    const { startMs, afterMs, waterC } = water!.readings
    expect(startMs + afterMs.reduce((sum, ms) => sum + ms, 0)).toBeGreaterThan(without.batch.endedAtMs!)
    expect(waterC).toHaveLength(afterMs.length)
  })

  it('is refused with the reason where it cannot be read', async () => {
    const { lived, batchId } = await live([], 10)
    const file = await write(lived, batchId)
    const refused = async (change: (file: any) => unknown) => {
      const bytes = gzipSync(JSON.stringify(change(structuredClone(file))))
      const error: unknown = await read(bytes).catch((error: unknown) => error)
      expect(error).toBeInstanceOf(HandoverError)
      return error as HandoverError
    }
    expect((await refused(f => ({ ...f, version: 2 }))).refusal).toBe(Refusal.newer)
    expect((await refused(f => ({ ...f, version: 2 }))).message).toMatch(/version 2.*up to 1/)
    expect((await refused(f => ({ ...f, format: 'x' }))).refusal).toBe(Refusal.notOurs)
    expect(await refused(() => null)).toMatchObject({ refusal: Refusal.notOurs })
    for (const value of [Number.NaN, Infinity, -1, '27', null])
      expect(await refused(f => ({ ...f, batch: { ...f.batch, litres: value } }))).toMatchObject({
        refusal: Refusal.malformed,
        field: 'batch.litres',
      })
    expect(await refused(f => ((f.channels[0].readings.waterC = [27]), f))).toMatchObject({
      field: 'channels.0',
    })
    expect(await refused(f => ((f.channels[0].readings.quality[0][1] = 1e9), f))).toMatchObject({
      field: 'channels.0',
    })
    expect(await refused(f => ((f.channels[0].readings.airLpm = []), f))).toMatchObject({
      field: 'channels.0',
    })
    expect(await refused(f => ((f.batch.id = '../x'), f))).toMatchObject({ field: 'batch.id' })
    expect(await refused(f => ((f.batch.endedAtMs = f.batch.startedAtMs - 1), f))).toMatchObject({
      field: 'batch.endedAtMs',
    })
    await expect(read(gzipSync(JSON.stringify(file)).subarray(0, 500))).rejects.toThrow('cut off')
    await expect(read(new TextEncoder().encode('hello'))).rejects.toThrow('no JSON')
    // A few kilobytes that become more than may be.
    const bomb = gzipSync(Buffer.alloc(65 * 1024 * 1024, 0x20))
    await expect(read(bomb)).rejects.toMatchObject({ refusal: Refusal.tooLarge })
    // Not packed is as good; what a later version adds is passed over.
    const plainText = new TextEncoder().encode(JSON.stringify({ ...file, more: 1 }))
    expect(await read(plainText)).toEqual(file)
    expect(JSON.parse(gunzipSync(await bytesOf(file)).toString())).toEqual(JSON.parse(JSON.stringify(file)))
  })

  it('is known again, overwrites nothing, and is gone when it is removed', async () => {
    const { lived, batchId } = await live([], 10)
    const elsewhere = await openTestRoom(lived.nowMs)
    const { store } = elsewhere
    const guests = new Guests({ store, clock: () => elsewhere.nowMs, most: 3 })
    try {
      const file = await write(lived, batchId)
      const bytes = await bytesOf(file)
      expect(await guests.bring(bytes, 'Bo')).toMatchObject({ isNew: true, guest: { id: batchId, by: 'Bo' } })
      expect(await guests.bring(new TextEncoder().encode(JSON.stringify(file)), 'Bo')).toMatchObject({
        isNew: false,
      })
      const other = { ...file, batch: { ...file.batch, note: 'another' } } satisfies HandedOver
      await expect(guests.bring(await bytesOf(other), 'Bo')).rejects.toMatchObject({ refusal: Refusal.known })
      expect((await guests.room(batchId).then(room => room!.batch(batchId))).note).toBe('thin')
      expect(await guests.remove(batchId)).toBe(true)
      expect([await guests.room(batchId), await guests.file(batchId), await guests.list()]).toEqual([
        null,
        null,
        [],
      ])
      expect(await guests.remove(batchId)).toBe(false)
      expect((await guests.bring(await bytesOf(other), 'Bo')).isNew).toBe(true)
      const own = await elsewhere.room.createVessel({ name: 'Cone 1', litres: 1 })
      const mine = await elsewhere.room.startBatch({
        vesselId: own.row.id,
        litres: 1,
        cystsG: 1,
        salinityGpl: 25,
      })
      const back = await handOver(store, mine.id, { nowMs: elsewhere.nowMs, program: PROGRAM })
      await expect(guests.bring(await bytesOf(back), 'Bo')).rejects.toThrow('own')
      for (let n = 1; n < 3; n++)
        await guests.bring(await bytesOf({ ...file, batch: { ...file.batch, id: `b${n}` } }), 'Bo')
      await expect(
        guests.bring(await bytesOf({ ...file, batch: { ...file.batch, id: 'one-more' } }), 'Bo'),
      ).rejects.toMatchObject({ refusal: Refusal.full })
    } finally {
      await elsewhere.close()
    }
  })
})
