import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { by, HOUR, LOT, openTestBooks, vesselWithBatch, type OpenedBooks } from './opened-books.ts'

let it_: OpenedBooks
beforeEach(async () => {
  it_ = await openTestBooks()
})
afterEach(() => it_.close())

describe('the usual batch', () => {
  it('is the trade’s recipe for a new vessel, then what it had last, then its own recipe', async () => {
    const { opened, books } = it_
    const { row } = await opened.room.createVessel({ name: 'New', litres: 2 })
    expect(await books.usual(row.id)).toMatchObject({
      from: 'recipe',
      litres: 2,
      cystsG: 3,
      salinityGpl: 25,
      lot: null,
    })
    await vesselWithBatch(opened, 5, { lot: 'spring', cystsG: 3, litres: 1.5 })
    expect(await books.usual(row.id)).toMatchObject({
      from: 'last-elsewhere',
      litres: 2,
      cystsG: 4,
      lot: { name: 'spring' },
    })
    const dose = { litres: 1.2, cystsG: 2.4, salinityGpl: 30, goal: 'most' as const }
    await books.presets.keep(null, { name: 'Big', vesselId: row.id, ...dose })
    await it_.again()
    expect(await it_.books.usual(row.id)).toMatchObject({ from: 'preset', ...dose })
    const [big] = await it_.books.presets.list()
    await it_.books.presets.drop(big!.id)
    await expect(it_.books.presets.drop(big!.id)).rejects.toMatchObject({ kind: 'not-found' })
    expect(await it_.books.presets.list()).toEqual([])
    expect((await it_.books.usual(row.id)).from).not.toBe('preset')
    // Put away, it is still there.
    expect((await it_.opened.store.records('preset')).map(({ id }) => id)).toEqual([big!.id])
  })

  it('writes down no lot unasked where the last batch named none, and says whose lot it offers', async () => {
    const { opened, books } = it_
    await books.lots.add({ ...LOT, name: 'spring', gramsBought: 50 })
    const right = await vesselWithBatch(opened, 5, { lot: 'spring' })
    await opened.room.endBatch(right.batchId, {})
    const left = await vesselWithBatch(opened, 5)
    expect(await books.usual(left.vesselId)).toMatchObject({ from: 'last-here', lot: null, lots: ['spring'] })
    expect((await books.usual(left.vesselId)).lacksCysts).toBe(false)
    expect(await books.usual(right.vesselId)).toMatchObject({ lot: { name: 'spring' }, lotFrom: 'last-here' })
    opened.nowMs += HOUR
    const last = await vesselWithBatch(opened, 5, { lot: 'spring' })
    const { row } = await opened.room.createVessel({ name: 'New', litres: 2 })
    expect(await books.usual(row.id)).toMatchObject({
      from: 'last-elsewhere',
      lotFrom: 'last-elsewhere',
      elsewhere: last.vesselId,
      lot: { name: 'spring' },
    })
  })

  it('takes the next lot when the last one does not hold the dose', async () => {
    const { opened, books } = it_
    await books.lots.add({ ...LOT, name: 'autumn' })
    const spring = await books.lots.add({ ...LOT, gramsBought: 3 })
    const { vesselId } = await vesselWithBatch(opened, 5, { lot: 'spring' })
    expect((await books.usual(vesselId)).lot?.name).toBe('autumn')
    await books.lots.weigh(spring.id, { gramsLeft: 10, by })
    expect((await books.usual(vesselId)).lot?.name).toBe('spring')
  })
})
