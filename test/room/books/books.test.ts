import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { PHOTO_BYTES, PHOTOS_OF_BATCH } from '../../../broker/room/books/photos.ts'
import { by, HOUR, LOT, openTestBooks, vesselWithBatch, type OpenedBooks } from './opened-books.ts'
import { jpegOf } from './pictures.ts'
import type { WalkChange } from '../../../broker/room/books/contract.ts'

let it_: OpenedBooks
beforeEach(async () => {
  it_ = await openTestBooks()
})
afterEach(() => it_.close())

describe('lots on the shelf', () => {
  it('become records when a batch names them, and each batch draws on them', async () => {
    const { opened, books } = it_
    await vesselWithBatch(opened, 5, { lot: 'spring' })
    const [bare] = await books.lots.list()
    expect(bare).toMatchObject({ name: 'spring', gramsLeft: null, drawnG: 2, endedAtMs: null })
    const lot = await books.lots.change(
      bare!.id,
      { gramsBought: 50, openedOn: '2026-01-02', keptIn: 'refrigerator' },
      by,
    )
    expect(lot).toMatchObject({ gramsLeft: 48, useBy: { why: 'opened' } })
    await books.lots.weigh(lot.id, { gramsLeft: 40, by })
    await it_.again()
    expect(await it_.books.lots.list()).toMatchObject([{ id: lot.id, gramsLeft: 40 }])
  })

  it('are renamed with all their batches, and what they were called is kept', async () => {
    const { opened, books } = it_
    const { batchId } = await vesselWithBatch(opened, 5, { lot: 'sprnig' })
    const [lot] = await books.lots.list()
    await books.lots.change(lot!.id, { name: 'spring' }, by)
    expect((await opened.room.batch(batchId)).lot).toBe('spring')
    expect(await books.lots.list()).toMatchObject([{ id: lot!.id, name: 'spring', drawnG: 2 }])
    expect((await opened.store.entries('change')).map(({ json }) => json).join()).toContain('sprnig')
    expect((await opened.room.batchEvents(batchId)).find(event => event.kind === 'corrected')).toMatchObject({
      by,
      before: { lot: 'sprnig' },
      after: { lot: 'spring' },
    })
  })

  it('have one name each', async () => {
    const { books } = it_
    const lot = await books.lots.add(LOT)
    await expect(books.lots.add(LOT)).rejects.toMatchObject({ kind: 'conflict', field: 'name' })
    await expect(books.lots.change('nobody', {}, by)).rejects.toMatchObject({ kind: 'not-found' })
    await Promise.all([books.lots.list(), books.lots.list()])
    expect((await books.lots.list()).map(({ id }) => id)).toEqual([lot.id])
  })

  it('are weighed, and a weighing that is taken back counts no more but is kept', async () => {
    const { books } = it_
    const { id } = await books.lots.add(LOT)
    const weighing = await books.lots.weigh(id, { gramsLeft: 5, by })
    await books.lots.withdrawWeighing(id, weighing.id)
    const lot = await books.lots.lot(id)
    expect(lot.gramsLeft).toBe(50)
    expect(lot.weighings).toMatchObject([{ id: weighing.id, gramsLeft: 5 }])
    expect(lot.weighings[0]?.withdrawnAtMs).not.toBeNull()
  })

  it('have a control chart of their counted harvests, each with the limits of its count', async () => {
    const { opened, books } = it_
    for (let n = 0; n < 6; n++) {
      const { batchId } = await vesselWithBatch(opened, 30, { lot: 'spring' })
      await opened.room.recordEvent(batchId, {
        kind: 'count',
        harvest: true,
        samples: [{ sampleMl: 1, nauplii: 300 + n, umbrella: 5, embryos: 60 }],
        by,
      })
      await opened.room.endBatch(batchId, {})
      opened.nowMs += HOUR
    }
    const id = (await books.lots.list())[0]!.id
    const { charts, quality, judgedBy, learned } = await books.lots.lot(id)
    const { chart, batchIds } = charts['nauplii-per-g']
    // 300 in a millilitre of a litre are 300,000; of two grams of cysts.
    expect(chart.values[0]).toMatchObject({ value: 150_000 })
    expect(chart.values[0]!.low).toBeLessThan(150_000)
    expect(chart.limits?.from).toBe(6)
    expect(batchIds).toHaveLength(6)
    expect(charts['hatch-percentage'].chart.values[0]!.value).toBeCloseTo((100 * 300) / 365, 6)
    expect(quality).toBe('steady')
    // The chart that is drawn is the one that the verdict goes by.
    expect(judgedBy).toBe('hatch-percentage')
    expect(learned?.summary.harvests.chart.limits).toEqual(charts[judgedBy].chart.limits)
  })
})

describe('a walk', () => {
  it('survives a killed service at every step and becomes a batch with the times of its steps', async () => {
    const { row } = await it_.opened.room.createVessel({ name: 'New', litres: 2 })
    const { id } = await it_.books.walks.begin({
      kind: 'set-up',
      vesselId: row.id,
      by,
      draft: { litres: '1' },
    })
    for (const step of ['air', 'water', 'salt', 'cysts']) {
      await it_.books.walks.step(id, { step, done: true, by })
      it_.opened.nowMs += 60_000
      await it_.again()
    }
    const [walk] = await it_.books.walks.list()
    expect(Object.keys(walk!.steps)).toEqual(['air', 'water', 'salt', 'cysts'])
    expect(walk!.draft).toEqual({ litres: '1' })
    const again = await it_.books.walks.begin({ kind: 'set-up', vesselId: row.id, by: 'Ben' })
    expect(again.id).toBe(id)
    const batch = { litres: 1, cystsG: 2, salinityGpl: 25, lot: 'spring' }
    const { batchId } = await it_.books.walks.finish(id, { batch, by })
    expect((await it_.opened.room.batch(batchId)).startedAtMs).toBe(walk!.steps['cysts'])
    const [setUp] = await it_.opened.room.batchEvents(batchId)
    expect(setUp).toMatchObject({
      kind: 'set-up',
      by,
      steps: [{ step: 'air' }, { step: 'water' }, { step: 'salt' }, { step: 'cysts' }],
    })
    expect(await it_.books.walks.list()).toEqual([])
  })

  it('under way on two screens keeps what each typed in its own fields, and tells both of every change', async () => {
    const { walks } = it_.books
    const { row } = await it_.opened.room.createVessel({ name: 'New', litres: 2 })
    const told: WalkChange[] = []
    const stop = walks.onChange(change => told.push(change))
    const draft = { litres: '1', lot: '' }
    const { id } = await walks.begin({ kind: 'set-up', vesselId: row.id, by, draft })
    await Promise.all([walks.typed(id, { litres: '1.5' }), walks.typed(id, { lot: 'spring' })])
    const ticked = await walks.step(id, { step: 'air', done: true, by: 'Ben' })
    expect(ticked).toMatchObject({ draft: { litres: '1.5', lot: 'spring' }, changes: 3 })
    await walks.step(id, { step: 'air', done: true, by })
    const batch = { litres: 1.5, cystsG: 2, salinityGpl: 25 }
    const { batchId } = await walks.finish(id, { batch, by })
    expect(told.map(each => (each.kind === 'walk' ? each.walk.changes : each))).toEqual([
      ...[0, 1, 2, 3],
      { kind: 'walk-over', walkId: id, vesselId: row.id, batchId },
    ])
    // Who comes second is told, and starts no second batch.
    await expect(walks.finish(id, { batch, by: 'Ben' })).rejects.toThrow('Cannot find walk')
    await expect(walks.typed(id, { litres: '2' })).rejects.toThrow('Cannot find walk')
    stop()
    const again = await it_.opened.room.createVessel({ name: 'Other', litres: 2 })
    await walks.begin({ kind: 'set-up', vesselId: again.row.id, by })
    expect(told).toHaveLength(5)
  })

  it('takes no more into its form than it takes at once', async () => {
    const { walks } = it_.books
    const { row } = await it_.opened.room.createVessel({ name: 'New', litres: 2 })
    const { id } = await walks.begin({
      kind: 'set-up',
      vesselId: row.id,
      by,
      draft: { a: 'x'.repeat(20_000) },
    })
    await expect(walks.typed(id, { b: 'x'.repeat(20_000) })).rejects.toThrow('32768 characters')
    expect((await walks.walk(id)).draft).toEqual({ a: 'x'.repeat(20_000) })
  })

  it('through a harvest writes its steps into the log, keeps the air alarm quiet, and counts ten minutes', async () => {
    const { opened, books } = it_
    const { vesselId, batchId } = await vesselWithBatch(opened, 24)
    const { id } = await books.walks.begin({ kind: 'harvest', vesselId, by })
    await books.walks.step(id, { step: 'air-off', done: true, by })
    opened.nowMs += 30_000
    const lit = await books.walks.step(id, { step: 'light-below', done: true, by })
    expect(lit.settlesAtMs).toBe(opened.nowMs + 10 * 60_000)
    expect(opened.room.vessel(vesselId).hush).toMatchObject({ reason: 'harvest' })
    await it_.again()
    const { walks } = it_.books
    expect((await walks.walk(id)).settlesAtMs).toBe(lit.settlesAtMs)
    expect(it_.opened.room.vessel(vesselId).hush).toMatchObject({ reason: 'harvest' })
    await walks.step(id, { step: 'light-below', done: false, by })
    await walks.finish(id, { by, note: 'good' })
    const log = await it_.opened.room.batchEvents(batchId)
    expect(log.map(({ kind, withdrawnAtMs }) => [kind, withdrawnAtMs === null])).toEqual([
      ['air-off', true],
      ['light-below', false],
    ])
    expect(await it_.opened.room.batch(batchId)).toMatchObject({ note: 'good', endedAtMs: it_.opened.nowMs })
    expect(it_.opened.room.vessel(vesselId).hush).toBeNull()
  })

  it('is refused where it makes no sense, and ends with its batch', async () => {
    const { opened, books } = it_
    const { row } = await opened.room.createVessel({ name: 'Empty', litres: 2 })
    await expect(books.walks.begin({ kind: 'harvest', vesselId: row.id, by })).rejects.toMatchObject({
      kind: 'conflict',
    })
    const { vesselId, batchId } = await vesselWithBatch(opened, 24)
    await expect(books.walks.begin({ kind: 'set-up', vesselId, by })).rejects.toMatchObject({
      kind: 'conflict',
    })
    const { id } = await books.walks.begin({ kind: 'harvest', vesselId, by })
    await expect(books.walks.step(id, { step: 'salt', done: true, by })).rejects.toMatchObject({
      field: 'step',
    })
    await expect(books.walks.draft(id, { long: 'x'.repeat(40_000) })).rejects.toMatchObject({
      field: 'draft',
    })
    await opened.room.endBatch(batchId, {})
    expect(await books.walks.list()).toEqual([])
    await expect(books.walks.walk(id)).rejects.toMatchObject({ kind: 'not-found' })
  })
})

describe('held nauplii', () => {
  const taken = {
    kind: 'taken',
    for: 'held',
    nauplii: 100_000,
    share: 0.5,
    coldC: 4,
    energyLeft: null,
    firstOutAtMs: null,
  } as const

  it('are what was taken to be held, less what was drawn, and are worth what the forecast said', async () => {
    const { opened, books } = it_
    const { batchId, vesselId } = await vesselWithBatch(opened, 26, { lot: 'spring' })
    const { id } = await opened.room.recordEvent(batchId, { ...taken, by })
    opened.nowMs += 12 * HOUR
    const portion = await books.held.draw(id, { for: 'fed', nauplii: 30_000, by })
    expect(portion).toMatchObject({ vesselId, lot: 'spring', left: 70_000, isGone: false })
    expect(portion.state.heldH).toBeCloseTo(12, 6)
    const { energyLeft } = await opened.room.forecast(batchId)
    expect(portion.state.energyLeft.p50).toBeLessThan(1)
    expect(portion.state.energyLeft.p50).toBeGreaterThan(energyLeft.p10)
    expect(portion.firstOutAtMs).toBeLessThan(opened.nowMs - 12 * HOUR)
    await it_.again()
    expect(await it_.books.held.list()).toMatchObject([{ id, left: 70_000 }])
    const { draws } = await it_.books.held.withdrawDraw(id, portion.draws[0]!.id)
    expect(draws).toHaveLength(1)
    expect(await it_.books.held.list()).toMatchObject([{ left: 100_000 }])
  })

  it('are as old as the first that somebody saw swim, where that is before what is reckoned', async () => {
    const { opened, books } = it_
    const { batchId } = await vesselWithBatch(opened, 26, { lot: 'spring' })
    const seenAtMs = opened.nowMs - 6 * HOUR
    await opened.room.recordEvent(batchId, { kind: 'first-swimmers', atMs: seenAtMs, insist: true, by })
    const { t10, firstSeenMs } = await opened.room.forecast(batchId)
    expect(firstSeenMs).toBe(seenAtMs)
    const { id } = await opened.room.recordEvent(batchId, { ...taken, by })
    const portion = (await books.held.list()).find(each => each.id === id)
    expect(portion?.firstOutAtMs).toBe(Math.min(seenAtMs, Math.round(t10.p50)))
    expect(portion?.firstOutAtMs).toBeLessThanOrEqual(seenAtMs)
  })

  it('cannot be drawn beyond what is left, and are gone when all was', async () => {
    const { opened, books } = it_
    const { batchId } = await vesselWithBatch(opened, 26)
    const { id } = await opened.room.recordEvent(batchId, { ...taken, by })
    await expect(books.held.draw(id, { for: 'fed', nauplii: 100_001, by })).rejects.toMatchObject({
      field: 'nauplii',
    })
    await books.held.draw(id, { for: 'discarded', nauplii: null, by })
    expect(await books.held.list()).toEqual([])
    expect(await books.held.list({ gone: true })).toHaveLength(1)
    await expect(books.held.draw(id, { for: 'fed', nauplii: 1, by })).rejects.toMatchObject({
      kind: 'conflict',
    })
  })

  it('are gone when the entry is taken back', async () => {
    const { opened, books } = it_
    const { batchId } = await vesselWithBatch(opened, 26)
    const { id } = await opened.room.recordEvent(batchId, { ...taken, by })
    await opened.room.withdrawEvent(batchId, id)
    expect(await books.held.list({ gone: true })).toEqual([])
  })
})

describe('an entry of the log', () => {
  it('is corrected by another in its place; what it was stays', async () => {
    const { opened } = it_
    const { batchId } = await vesselWithBatch(opened, 5)
    const { id } = await opened.room.recordEvent(batchId, { kind: 'ph', ph: 7.1, by })
    await opened.room.recordEvent(batchId, { kind: 'ph', ph: 8.1, by, replaces: id })
    await it_.again()
    const log = await it_.opened.room.batchEvents(batchId)
    expect(log.filter(({ withdrawnAtMs }) => withdrawnAtMs === null)).toMatchObject([{ kind: 'ph', ph: 8.1 }])
    expect(log).toHaveLength(2)
    await expect(
      it_.opened.room.recordEvent(batchId, { kind: 'foam', by, replaces: 'none' }),
    ).rejects.toMatchObject({ kind: 'not-found' })
  })
})

describe('photos', () => {
  const jpeg = (bytes: number, width = 640, height = 480) => jpegOf(width, height, bytes)

  it('are kept as they came, told by their bytes, and written into the log', async () => {
    const { opened, books } = it_
    const { batchId } = await vesselWithBatch(opened, 5)
    const event = await books.photos.add(batchId, jpeg(3000), { by, words: 'ring' })
    expect(event).toMatchObject({ kind: 'photo', media: 'image/jpeg', bytes: 3000, words: 'ring' })
    await it_.again()
    const photo = await it_.books.photos.photo(event.kind === 'photo' ? event.photoId : '')
    expect(photo.body).toEqual(jpeg(3000))
  })

  it('are refused when they are no pictures, too large, or too many', async () => {
    const { opened, books } = it_
    const { batchId } = await vesselWithBatch(opened, 5)
    const text = new TextEncoder().encode('<script>alert(1)</script>')
    await expect(books.photos.add(batchId, text, { by })).rejects.toMatchObject({ kind: 'invalid' })
    await expect(books.photos.add(batchId, new Uint8Array(), { by })).rejects.toMatchObject({
      kind: 'invalid',
    })
    await expect(books.photos.add(batchId, jpeg(PHOTO_BYTES + 1), { by })).rejects.toMatchObject({
      kind: 'invalid',
    })
    // Few bytes that unpack to more than a phone's memory.
    const huge = books.photos.add(batchId, jpeg(2000, 30_000, 30_000), { by })
    await expect(huge).rejects.toMatchObject({
      kind: 'invalid',
      message: expect.stringMatching(/30000 × 30000/),
    })
    const cut = books.photos.add(batchId, jpeg(2000).slice(0, 20), { by })
    await expect(cut).rejects.toMatchObject({ kind: 'invalid' })
    // What is refused for its entry takes nobody's place.
    const ahead = books.photos.add(batchId, jpeg(100), { by, atMs: opened.nowMs + 9 * HOUR })
    await expect(ahead).rejects.toMatchObject({ kind: 'invalid' })
    const atOnce = await Promise.allSettled(
      Array.from({ length: 3 * PHOTOS_OF_BATCH }, () => books.photos.add(batchId, jpeg(100), { by })),
    )
    expect(atOnce.filter(({ status }) => status === 'fulfilled')).toHaveLength(PHOTOS_OF_BATCH)
    await expect(books.photos.add(batchId, jpeg(100), { by })).rejects.toMatchObject({ kind: 'conflict' })
    await expect(books.photos.photo('none')).rejects.toMatchObject({ kind: 'not-found' })
  })
})
