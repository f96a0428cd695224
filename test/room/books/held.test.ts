import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { pantryOf } from '../../../broker/room/feeding/pantry.ts'
import { HOUR, LOT, openTestBooks, vesselWithBatch, type OpenedBooks } from './opened-books.ts'

const by = 'Ann'
const taken = { kind: 'taken', for: 'held', coldC: 4, energyLeft: null, firstOutAtMs: null } as const
let it_: OpenedBooks
beforeEach(async () => {
  it_ = await openTestBooks()
})
afterEach(() => it_.close())

describe('what is taken of a harvest', () => {
  it('are never more than the harvest: what is left can still be taken, and after the air was on again the next one', async () => {
    const { opened, books } = it_
    const { batchId } = await vesselWithBatch(opened, 26)
    const take = (said: { share?: number; nauplii?: number }) =>
      opened.room.recordEvent(batchId, { ...taken, share: null, nauplii: null, ...said, by })
    const { id } = await take({ share: 0.6 })
    await expect(take({ share: 0.6 })).rejects.toMatchObject({
      kind: 'conflict',
      field: 'share',
      message: 'Cannot write down what was taken: 40 % of the harvest are left, got 60 %',
    })
    await take({ share: 0.4 })
    await expect(take({ share: 0.1 })).rejects.toMatchObject({ kind: 'conflict' })
    // Corrected, it does not stand in its own way.
    await opened.room.recordEvent(batchId, { ...taken, share: 0.5, nauplii: null, by, replaces: id })
    await expect(take({ share: 0.2 })).rejects.toMatchObject({ kind: 'conflict' })
    // 100 a millilitre of 1 l: 100,000, at most 121,630 (Garwood 1936).
    await opened.room.recordEvent(batchId, {
      kind: 'count',
      harvest: true,
      samples: [{ sampleMl: 1, nauplii: 100 }],
      by,
    })
    await expect(take({ nauplii: 30_000 })).rejects.toMatchObject({ kind: 'conflict', field: 'nauplii' })
    await take({ nauplii: 10_000 })
    opened.nowMs += HOUR
    await opened.room.recordEvent(batchId, { kind: 'air-on', by })
    await take({ share: 1 })
    expect(await books.held.list()).toHaveLength(4)
  })

  it('follow a count of their harvest that was written down after them', async () => {
    const { opened, books } = it_
    const { batchId } = await vesselWithBatch(opened, 26)
    await opened.room.recordEvent(batchId, { ...taken, share: 0.5, nauplii: null, by })
    expect(await books.held.list()).toMatchObject([{ nauplii: null }])
    const count = { kind: 'count', harvest: true, by } as const
    opened.nowMs += 60_000
    const poor = await opened.room.recordEvent(batchId, {
      ...count,
      samples: [{ sampleMl: 1, nauplii: 200 }],
    })
    expect(await books.held.list()).toMatchObject([{ nauplii: 100_000 }])
    // It was 250 ml that were drawn off, and not the litre.
    opened.nowMs += 60_000
    await opened.room.recordEvent(batchId, {
      ...count,
      drawnOffMl: 250,
      samples: [{ sampleMl: 1, nauplii: 200 }],
      replaces: poor.id,
    })
    expect(await books.held.list()).toMatchObject([{ nauplii: 25_000 }])
  })

  it('put in before anything of their batch can hatch, they have no age of it, and neither plan nor lot counts on them', async () => {
    const { opened, books } = it_
    const { batchId } = await vesselWithBatch(opened, 5 / 60, { lot: LOT.name })
    const before = (await opened.room.lots()).find(({ name }) => name === LOT.name)?.summary
    const sample = { sampleMl: 3, nauplii: 24 }
    await opened.room.recordEvent(batchId, { kind: 'count', harvest: true, samples: [sample], by })
    await opened.room.recordEvent(batchId, { ...taken, share: 1, nauplii: null, by })
    const [portion] = await books.held.list()
    expect(portion).toMatchObject({ isTooSoon: true, ageAtTakingH: 0, nauplii: 8000 })
    expect(await pantryOf(books).held()).toEqual([])
    const after = (await opened.room.lots()).find(({ name }) => name === LOT.name)?.summary
    expect(after?.counts ?? 0).toBe(0)
    expect(after?.naupliiPerG).toEqual(before?.naupliiPerG)
    // The same of a batch that has hatched is food, and is counted.
    const old = await vesselWithBatch(opened, 26, { lot: LOT.name })
    await opened.room.recordEvent(old.batchId, { kind: 'count', harvest: true, samples: [sample], by })
    await opened.room.recordEvent(old.batchId, { ...taken, share: 1, nauplii: null, by })
    expect(await pantryOf(books).held()).toHaveLength(1)
    expect((await opened.room.lots()).find(({ name }) => name === LOT.name)?.summary.counts).toBe(1)
  })
})
