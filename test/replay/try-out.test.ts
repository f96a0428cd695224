import { describe, expect, it } from 'vitest'
import type { PendingBatch, TriedBatch, TryOutAsk } from '../../broker/replay/contract.ts'
import { stretchesOf, WARM_UP_MS } from '../../broker/replay/stretches.ts'
import { TryOuts } from '../../broker/replay/try-out.ts'
import { batch } from '../store/examples.ts'
import { BEGINS_MS, HOUR_MS, LivedRoom, MINUTE_MS, SETTINGS, settled, SILENT } from './lived-room.ts'

const STEP_MS = 30_000
const ask = (lived: LivedRoom, change: object = {}): TryOutAsk => ({
  settings: SETTINGS,
  proposed: {
    ...SETTINGS.rules,
    'water-too-hot': { ...SETTINGS.rules['water-too-hot'], ...change },
    // Else it calls first, and what follows from it is silent.
    'water-heading-hot': { ...SETTINGS.rules['water-heading-hot'], enabled: false },
  },
  newest: 5,
  nowMs: lived.nowMs,
})

/** One vessel whose water warms by 1 °C in 20 minutes for two hours from 27 °C on, and cools again as fast. */
async function warmed(): Promise<LivedRoom> {
  const lived = await LivedRoom.open()
  const id = await lived.addVessel('a', 'a')
  await lived.pass(2 * HOUR_MS)
  await lived.room.startBatch({ vesselId: id, litres: 1, cystsG: 2, salinityGpl: 25 })
  for (let at = 0; at < 5 * HOUR_MS; at += STEP_MS) {
    const h = at / HOUR_MS
    const water = h < 0.5 ? 27 : h < 2.5 ? 27 + (h - 0.5) * 3 : Math.max(27, 33 - (h - 2.5) * 3)
    lived.measure('a', { water: water - 0.25, air: 0.6, light: 3000 })
    await lived.pass(STEP_MS)
  }
  const open = lived.room.vessel(id).batch!
  await lived.room.endBatch(open.id, {})
  await lived.pass(10 * MINUTE_MS)
  return lived
}

async function tried(tryOuts: TryOuts, what: TryOutAsk) {
  const batches: TriedBatch[] = []
  const progress: number[] = []
  let total = -1
  await tryOuts.run(what, {
    onTotal: count => (total = count),
    onProgress: share => progress.push(share),
    onBatch: each => batches.push(each),
  })
  return { batches, progress, total }
}

describe('a try-out', () => {
  it('tells by how much a limit brings an alarm earlier or later, and when it would not come', async () => {
    const lived = await warmed()
    const tryOuts = new TryOuts({ store: lived.store, logger: SILENT, breathe: settled })
    // The water rises by 0.05 °C a minute: 0.5 °C are ten minutes.
    const quiet = {
      ...SETTINGS.rules,
      'water-heading-hot': { ...SETTINGS.rules['water-heading-hot'], enabled: false },
    }
    const now = { ...ask(lived), settings: { ...SETTINGS, rules: quiet } }
    const limit = async (limit: number) => {
      const rules = { ...quiet, 'water-too-hot': { ...quiet['water-too-hot'], limit } }
      const { batches } = await tried(tryOuts, { ...now, proposed: rules })
      return batches[0]!.alarms.filter(({ rule }) => rule === 'water-too-hot')
    }
    const [earlier] = await limit(28.9)
    expect(earlier).toMatchObject({ change: 'earlier' })
    expect(earlier!.byMs / MINUTE_MS).toBeCloseTo(-10, 0)
    const [later] = await limit(30.9)
    expect(later).toMatchObject({ change: 'later' })
    expect(later!.byMs / MINUTE_MS).toBeCloseTo(30, 0)
    expect(await limit(35)).toMatchObject([{ change: 'gone', then: null }])
    expect(await limit(29.4)).toMatchObject([{ change: 'same', byMs: 0 }])
  }, 60_000)

  it('with nothing changed finds the alarms that there were, and changes nothing', async () => {
    const lived = await warmed()
    const before = await lived.store.standingAlarms()
    const tryOuts = new TryOuts({ store: lived.store, logger: SILENT, breathe: settled })
    const { batches, progress, total } = await tried(tryOuts, { ...ask(lived), proposed: SETTINGS.rules })
    expect(total).toBe(1)
    expect(batches[0]!.alarms.map(({ change }) => change)).toContain('same')
    expect(batches[0]!.alarms.every(({ change }) => change === 'same')).toBe(true)
    const called = lived.steps.filter(({ calls }) => calls).map(({ alarm }) => alarm.rule)
    expect(batches[0]!.alarms.flatMap(({ now }) => (now?.calledAtMs ?? []).map(() => now?.rule))).toEqual(
      called,
    )
    expect(progress.at(-1)).toBe(1)
    expect([...progress]).toEqual([...progress].sort((a, b) => a - b))
    expect(await lived.store.standingAlarms()).toEqual(before)
  }, 60_000)

  it('says of a batch without readings, and of one that nobody ended, that it says nothing', async () => {
    const lived = await LivedRoom.open()
    const id = await lived.addVessel('a', 'a')
    await lived.pass(1000)
    const started = await lived.room.startBatch({ vesselId: id, litres: 1, cystsG: 2, salinityGpl: 25 })
    await lived.pass(HOUR_MS)
    const tryOuts = new TryOuts({ store: lived.store, logger: SILENT, breathe: settled })
    // Just begun is not long gone.
    const young = await tried(tryOuts, { ...ask(lived), nowMs: started.startedAtMs + MINUTE_MS })
    expect(young.batches).toMatchObject([{ untried: 'not-yet' }])
    const look = async (nowMs: number) => (await tried(tryOuts, { ...ask(lived), nowMs })).batches
    expect(await look(lived.nowMs)).toMatchObject([{ batchId: started.id, untried: 'no-readings' }])
    expect(await look(lived.nowMs + 11 * 24 * HOUR_MS)).toMatchObject([{ untried: 'too-long' }])
    expect((await tried(tryOuts, { ...ask(lived), batchIds: ['nobody'] })).total).toBe(0)
  })

  it('goes up to this very moment with all that are running, besides those that ended, and tells how far each is', async () => {
    const lived = await LivedRoom.open()
    const rows: string[] = []
    for (const name of ['a', 'b', 'c', 'd']) rows.push(await lived.addVessel(name, name))
    await lived.pass(1000)
    const begin = (vesselId: string) =>
      lived.room.startBatch({ vesselId, litres: 1, cystsG: 2, salinityGpl: 25 })
    const old = await begin(rows[0]!)
    lived.measure('a', { water: 27, air: 0.6, light: 3000 })
    await lived.pass(MINUTE_MS)
    await lived.room.endBatch(old.id, {})
    const open = []
    for (const id of rows) {
      await lived.pass(MINUTE_MS)
      open.push((await begin(id)).id)
    }
    for (let step = 0; step < 4; step++) {
      await lived.pass(5 * MINUTE_MS)
      for (const device of ['a', 'b', 'c', 'd']) lived.measure(device, { water: 27, air: 0.6, light: 3000 })
    }
    await lived.pass(1000)
    const tryOuts = new TryOuts({ store: lived.store, logger: SILENT, breathe: settled })
    const told: (readonly PendingBatch[])[] = []
    const batches: TriedBatch[] = []
    await tryOuts.run(
      { ...ask(lived), newest: 1 },
      {
        onTotal: () => undefined,
        onProgress: (_, pending) => told.push(pending()),
        onBatch: each => batches.push(each),
      },
    )
    const wanted = [open[3], open[2], open[1], open[0], old.id]
    expect(batches.map(({ batchId }) => batchId)).toEqual(wanted)
    expect(batches.map(({ untried }) => untried)).toEqual(wanted.map(() => null))
    expect(batches.map(({ running }) => running)).toEqual([true, true, true, true, false])
    expect(batches[0]!.untilMs).toBe(lived.nowMs)
    expect(told[0]!.map(({ batchId, progress }) => [batchId, progress])).toEqual(wanted.map(id => [id, 0]))
    const ofOld = told
      .flatMap(those => those.filter(({ batchId }) => batchId === old.id))
      .map(each => each.progress)
    expect(ofOld).toEqual([...ofOld].sort((a, b) => a - b))
    expect(Math.max(...ofOld)).toBe(1)
  })

  it('ends when it is told to, at the next breath', async () => {
    const lived = await warmed()
    let breaths = 0
    const tryOuts = new TryOuts({
      store: lived.store,
      logger: SILENT,
      async breathe() {
        if (++breaths === 2) throw new Error('enough')
      },
    })
    await expect(tried(tryOuts, ask(lived))).rejects.toThrow('enough')
  })
})

describe('stretches', () => {
  const at = (h: number) => BEGINS_MS + h * HOUR_MS
  const of = (id: string, fromH: number, toH: number) =>
    batch(id, { startedAtMs: at(fromH), endedAtMs: at(toH) })
  const ids = (batches: Parameters<typeof stretchesOf>[0]) =>
    stretchesOf(batches, at(1000)).map(stretch => stretch.batches.map(({ id }) => id))
  it('hold the batches that overlap, the newest first, up to three days together', () => {
    expect(ids([of('a', 0, 30), of('b', 20, 50), of('c', 100, 130)])).toEqual([['c'], ['b', 'a']])
    expect(ids([of('a', 0, 40), of('b', 30, 70), of('c', 60, 99)])).toEqual([['c', 'b'], ['a']])
    expect(stretchesOf([of('a', 0, 30)], at(1000))).toMatchObject([
      { fromMs: at(0) - WARM_UP_MS, toMs: at(30) + 1 },
    ])
  })
})
