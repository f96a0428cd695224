import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { planFeeding } from '../../broker/plan/plan.ts'
import { openSolver } from '../../broker/plan/solver.ts'
import type { Feeding, FeedingPart } from '../../broker/room/feeding/contract.ts'
import { openFeeding } from '../../broker/room/feeding/feeding.ts'
import { pantryOf } from '../../broker/room/feeding/pantry.ts'
import { booksOf, HOUR, openTestBooks, vesselWithBatch, type OpenedBooks } from './books/opened-books.ts'

const by = 'Ann'
const FRY = {
  name: 'Spawn 12',
  species: 'angelfish',
  fry: 200,
  bornMs: Date.UTC(2026, 0, 5),
  ration: [{ fromDay: 0, naupliiPerFry: 150 }],
  times: ['08:00', '18:00'],
  food: { kind: 'up-to' as const, hours: 24 },
  endsMs: null,
}
const HELD = {
  kind: 'taken',
  for: 'held',
  share: null,
  coldC: 4,
  energyLeft: null,
  firstOutAtMs: null,
} as const

let it_: OpenedBooks
let feeding: Feeding
let cohortId = ''
const openOver = (opened: OpenedBooks) =>
  openFeeding({
    store: opened.opened.store,
    room: opened.opened.room,
    clock: () => opened.opened.nowMs,
    newId: () => `fed-${Math.floor(opened.opened.nowMs / 1000)}-${ids++}`,
    logger: { error: details => expect(details).toBeUndefined() },
    zone: 'UTC',
    pantry: pantryOf(opened.books),
    planner: {
      plan: async input => planFeeding(input, await openSolver()),
      close: async () => undefined,
    },
  })
let ids = 0
beforeEach(async () => {
  // Noon; meals at 08:00 and 18:00.
  it_ = await openTestBooks()
  feeding = await openOver(it_)
  cohortId = (await feeding.keepCohort(null, FRY)).id
})
afterEach(async () => {
  await feeding.close()
  await it_.close()
})
/** A portion of 40,000 in the refrigerator. */
const portion = async () => {
  const { batchId } = await vesselWithBatch(it_.opened, 26)
  const { id } = await it_.opened.room.recordEvent(batchId, { ...HELD, nauplii: 40_000, by })
  await it_.opened.room.endBatch(batchId, {})
  return id
}

describe('a feeding', () => {
  it('that is ticked off draws on the refrigerator, and is planned no more; taken back it is all as it was', async () => {
    const held = await portion()
    const before = await feeding.plan()
    const [next] = before.meals
    expect(next!.atMs).toBe(it_.opened.nowMs + 6 * HOUR)
    const given = await feeding.given.give({
      cohortId,
      mealId: next!.id,
      nauplii: 15_000,
      from: 'held',
      fromId: held,
      by,
    })
    expect(await it_.books.held.list()).toMatchObject([{ id: held, left: 25_000 }])
    const after = await feeding.plan()
    expect(after.causes).toContain('fed')
    expect(after.meals.map(({ id }) => id)).not.toContain(next!.id)
    expect(after.fed).toMatchObject([
      { id: given.id, mealId: next!.id, nauplii: 15_000, withdrawnAtMs: null },
    ])
    await feeding.given.withdraw(given.id)
    expect(await it_.books.held.list()).toMatchObject([{ left: 40_000 }])
    const again = await feeding.plan()
    expect(again.meals.map(({ id }) => id)).toContain(next!.id)
    // It stays in the log.
    expect(again.fed.map(({ withdrawnAtMs }) => withdrawnAtMs)).not.toContain(null)
  })

  it('of which a part was given stays with the rest, until that is given or is said to be enough', async () => {
    const [next] = (await feeding.plan()).meals
    const give = (nauplii: number | null, more: boolean) =>
      feeding.given.give({ cohortId, mealId: next!.id, nauplii, from: 'other', more, by })
    const first = await give(10_000, true)
    // 200 fry, 150 a day, at two times: 15,000.
    const planned = async () => (await feeding.plan()).meals.find(({ id }) => id === next!.id)?.nauplii
    expect(await planned()).toBeCloseTo(5000)
    // Its time has come: what is asked for is the rest.
    it_.opened.nowMs += 6.5 * HOUR
    expect(await feeding.given.open()).toMatchObject([{ id: next!.id, nauplii: 5000 }])
    it_.opened.nowMs += 16 * 60_000
    expect(await planned()).toBeCloseTo(5000)
    await give(2000, false)
    expect(await planned()).toBeUndefined()
    expect(await feeding.given.open()).toEqual([])
    await expect(give(1, false)).rejects.toMatchObject({ kind: 'conflict' })
    expect(first.more).toBe(true)
  })

  it('is done with where the parts are all of it; of what nobody counted no rest is left', async () => {
    const [next] = (await feeding.plan()).meals
    const give = (nauplii: number | null) =>
      feeding.given.give({ cohortId, mealId: next!.id, nauplii, from: 'other', more: true, by })
    await expect(give(null)).rejects.toMatchObject({ field: 'more' })
    await give(9000)
    await give(6000)
    expect((await feeding.plan()).meals.map(({ id }) => id)).not.toContain(next!.id)
  })

  it('from a vessel is written into its batch’s log, and not beyond what it holds', async () => {
    const { batchId } = await vesselWithBatch(it_.opened, 26)
    const given = await feeding.given.give({ cohortId, nauplii: 5000, from: 'batch', fromId: batchId, by })
    const log = () => it_.opened.room.batchEvents(batchId)
    expect(await log()).toMatchObject([{ kind: 'taken', for: 'fed', nauplii: 5000, withdrawnAtMs: null }])
    // The plan's page names the vessel that it came from, also once the batch has ended.
    await it_.opened.room.endBatch(batchId, {})
    expect(Object.keys((await feeding.plan()).sources ?? {})).toContain(batchId)
    await feeding.given.withdraw(given.id)
    expect((await log())[0]!.withdrawnAtMs).not.toBeNull()
    const held = await portion()
    await expect(
      feeding.given.give({ cohortId, nauplii: 40_001, from: 'held', fromId: held, by }),
    ).rejects.toMatchObject({ field: 'nauplii' })
    expect(await feeding.given.list(0)).toHaveLength(1)
  })

  it('from several sources draws on each, is one entry, and taken back gives all back', async () => {
    const held = await portion()
    const { batchId } = await vesselWithBatch(it_.opened, 26)
    const parts = [
      { from: 'held', fromId: held, nauplii: 2900 },
      { from: 'batch', fromId: batchId, nauplii: 8100 },
    ] as const
    const given = await feeding.given.give({ cohortId, parts, by })
    expect(given).toMatchObject({ nauplii: 11_000, from: 'held', fromId: held, parts })
    expect(await feeding.given.list(0)).toHaveLength(1)
    expect(await it_.books.held.list()).toMatchObject([{ left: 37_100 }])
    const log = () => it_.opened.room.batchEvents(batchId)
    expect(await log()).toMatchObject([{ kind: 'taken', nauplii: 8100, withdrawnAtMs: null }])
    const csv = await it_.books.tables.csv('feedings')
    expect((await it_.books.tables.importCsv('feedings', csv)).refusals).toEqual([])
    await feeding.given.withdraw(given.id)
    expect(await it_.books.held.list()).toMatchObject([{ left: 40_000 }])
    expect((await log())[0]!.withdrawnAtMs).not.toBeNull()
  })

  it('from several sources is taken back in one turn, so that no store keeps a part of it', async () => {
    const held = await portion()
    const { batchId } = await vesselWithBatch(it_.opened, 26)
    const given = await feeding.given.give({
      cohortId,
      parts: [
        { from: 'held', fromId: held, nauplii: 2900 },
        { from: 'batch', fromId: batchId, nauplii: 8100 },
      ],
      by,
    })
    const { store } = it_.opened
    const wrote: string[] = []
    let inFirstTurn = 0
    const watched = <A extends object>(name: string, write: (what: A) => Promise<void>) => {
      return (what: A) => {
        wrote.push(name)
        if (wrote.length === 1) queueMicrotask(() => (inFirstTurn = wrote.length))
        return write(what)
      }
    }
    store.keepEntry = watched('entry', store.keepEntry.bind(store))
    store.keepBatchEvent = watched('batch event', store.keepBatchEvent.bind(store))
    await feeding.given.withdraw(given.id)
    // The draw, the entry of the batch's log and the feeding itself: what is kept in one turn is one transaction of either store.
    expect(wrote.toSorted()).toEqual(['batch event', 'entry', 'entry'])
    expect(inFirstTurn).toBe(3)
    expect(await it_.books.held.list()).toMatchObject([{ left: 40_000 }])
  })

  it('can be taken back though what it came from is gone', async () => {
    const { batchId } = await vesselWithBatch(it_.opened, 26)
    const given = await feeding.given.give({ cohortId, nauplii: 5000, from: 'batch', fromId: batchId, by })
    await it_.opened.room.discardBatch(batchId)
    expect((await feeding.given.withdraw(given.id)).withdrawnAtMs).not.toBeNull()
  })

  it('from several sources takes nothing from any where one has too little, is not there or is named twice', async () => {
    const held = await portion()
    const { batchId } = await vesselWithBatch(it_.opened, 26)
    const batch = { from: 'batch', fromId: batchId, nauplii: 8100 } as const
    const short = { from: 'held', fromId: held, nauplii: 40_001 } as const
    const give = (...parts: FeedingPart[]) => feeding.given.give({ cohortId, parts, by })
    await expect(give(batch, short)).rejects.toMatchObject({ field: 'parts.1.nauplii' })
    await expect(give(batch, { ...short, fromId: 'gone' })).rejects.toMatchObject({ kind: 'not-found' })
    await expect(give(batch, batch)).rejects.toMatchObject({ field: 'parts.1.fromId' })
    await expect(give()).rejects.toMatchObject({ field: 'parts' })
    expect(await it_.opened.room.batchEvents(batchId)).toEqual([])
    expect(await it_.books.held.list()).toMatchObject([{ left: 40_000, draws: [] }])
    expect(await feeding.given.list(0)).toEqual([])
  })

  it('that two tick off in the same moment is given once', async () => {
    const [meal] = (await feeding.plan()).meals
    const held = await portion()
    const once = () =>
      feeding.given.give({ cohortId, mealId: meal!.id, nauplii: 1000, from: 'held', fromId: held, by })
    const both = await Promise.allSettled([once(), once()])
    expect(both.map(({ status }) => status)).toEqual(['fulfilled', 'rejected'])
    expect(await it_.books.held.list()).toMatchObject([{ left: 39_000 }])
  })

  it('is given once, to fry that there are, and of the days around', async () => {
    const [meal] = (await feeding.plan()).meals
    const other = { cohortId, nauplii: null, from: 'other', by } as const
    await feeding.given.give({ ...other, mealId: meal!.id })
    await expect(feeding.given.give({ ...other, mealId: meal!.id })).rejects.toMatchObject({
      kind: 'conflict',
    })
    await expect(feeding.given.give({ ...other, cohortId: 'nobody' })).rejects.toMatchObject({
      kind: 'not-found',
    })
    await expect(
      feeding.given.give({ ...other, mealId: `${cohortId}@2030-01-01T08:00` }),
    ).rejects.toMatchObject({
      field: 'mealId',
    })
    await expect(feeding.given.give({ ...other, from: 'held' })).rejects.toMatchObject({ field: 'fromId' })
    await expect(feeding.given.give({ ...other, atMs: it_.opened.nowMs + HOUR })).rejects.toMatchObject({
      field: 'at',
    })
  })

  it('that nobody ticked off is shown: for a day to whoever ticks, for hours to whoever never did', async () => {
    it_.opened.nowMs += 8 * HOUR
    const open = async () => (await feeding.given.open()).map(({ id }) => id.slice(-16))
    // 20:00: the one of 18:00, and not the morning's.
    expect(await open()).toEqual(['2026-01-10T18:00'])
    await feeding.given.give({
      cohortId,
      mealId: `${cohortId}@2026-01-10T18:00`,
      nauplii: null,
      from: 'other',
      by,
    })
    expect(await open()).toEqual([])
    it_.opened.nowMs += 23 * HOUR
    expect(await open()).toEqual(['2026-01-11T08:00', '2026-01-11T18:00'])
  })

  it('is written out with its fry and brought in elsewhere, twice, without a difference', async () => {
    const given = await feeding.given.give({ cohortId, nauplii: 1000, from: 'other', by })
    await feeding.given.give({ cohortId, nauplii: null, from: 'other', by })
    await feeding.given.withdraw(given.id)
    const here = it_.books.tables
    const elsewhere = await openTestBooks()
    try {
      const there = elsewhere.books.tables
      for (const name of ['cohorts', 'feedings']) {
        const csv = await here.csv(name)
        expect((await there.importCsv(name, csv)).refusals).toEqual([])
        expect(await there.csv(name)).toBe(csv)
      }
      const whole = await here.json(['cohorts', 'feedings'])
      const { tables, refusals } = await there.importJson(whole)
      expect(refusals).toEqual([])
      expect(tables.map(({ added, same }) => [added, same])).toEqual([
        [0, 1],
        [0, 2],
      ])
      const moved = await openOver({ ...elsewhere, books: booksOf(elsewhere.opened) })
      expect(await moved.cohorts()).toEqual(await feeding.cohorts())
      await moved.close()
    } finally {
      await elsewhere.close()
    }
  })
  it('is the same in whatever order it was written down, and says in plain words what differs', async () => {
    const [row] = await it_.opened.store.records('cohort')
    const turned = Object.fromEntries(Object.entries(JSON.parse(row!.json) as object).reverse())
    await it_.opened.store.keepRecord({ ...row!, json: JSON.stringify(turned) })
    const { tables } = it_.books
    const whole = await tables.json(['cohorts'])
    expect(await tables.importJson(whole)).toMatchObject({ tables: [{ added: 0, same: 1, refused: 0 }] })
    const { refusals } = await tables.importJson(whole.replace(/"fry \[fry\]": \d+/, '"fry [fry]": 7'))
    expect(refusals[0]?.why).toMatch(/its number of fry differs here; what is here stays/)
  })
})
