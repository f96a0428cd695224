import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { by, HOUR, LOT, openTestBooks, vesselWithBatch, type OpenedBooks } from './opened-books.ts'

let it_: OpenedBooks
beforeEach(async () => {
  it_ = await openTestBooks()
})
afterEach(() => it_.close())

describe('reminders of the books', () => {
  const due = async () => {
    const { opened, books } = it_
    await books.refresh()
    opened.tick()
    return opened.room.reminders().map(({ kind }) => kind)
  }

  it('come for held nauplii, for a lot that is due, and for bleach; ticking one off writes it down', async () => {
    const { opened, books } = it_
    await books.lots.add({ ...LOT, openedOn: '2025-12-15', keptIn: 'refrigerator' })
    await books.cleaning.changePolicy({ everyBatches: 1, everyDays: 300 })
    const { batchId, vesselId } = await vesselWithBatch(opened, 26)
    const taken = {
      kind: 'taken',
      for: 'held',
      nauplii: 1e5,
      share: null,
      coldC: 4,
      energyLeft: null,
      firstOutAtMs: null,
    } as const
    await opened.room.recordEvent(batchId, { ...taken, by })
    expect(await due()).toContain('lot-use-by')
    expect(await due()).not.toContain('held-limit')
    await opened.room.endBatch(batchId, {})
    expect(await due()).toContain('disinfect')
    opened.nowMs += 43 * HOUR
    expect(await due()).toContain('held-limit')
    const reminder = opened.room.reminders().find(({ kind }) => kind === 'disinfect')
    await opened.room.doneReminder(reminder!.id, by)
    const [view] = (await books.cleaning.list()).filter(each => each.vesselId === vesselId)
    expect(view).toMatchObject({ disinfect: null, hotWater: null, log: [{ how: 'disinfected', by }] })
    expect(await due()).not.toContain('disinfect')
  })

  it('end the one for hot water once the cleaning is written down, until it is withdrawn', async () => {
    const { opened, books } = it_
    const { batchId, vesselId } = await vesselWithBatch(opened, 26)
    await opened.room.endBatch(batchId, {})
    expect(await due()).toContain('cleaning')
    const early = await books.cleaning.clean(vesselId, {
      how: 'hot-water',
      atMs: opened.nowMs - 27 * HOUR,
      by,
    })
    expect(await due()).toContain('cleaning')
    await books.cleaning.withdraw(early.id)
    opened.nowMs += HOUR
    const { id } = await books.cleaning.clean(vesselId, { how: 'hot-water', by })
    expect(await due()).not.toContain('cleaning')
    await books.cleaning.withdraw(id)
    expect(await due()).toContain('cleaning')
  })

  it('and a cleaning is refused for a time at which a batch was in the vessel', async () => {
    const { opened, books } = it_
    const { batchId, vesselId } = await vesselWithBatch(opened, 26)
    const clean = (hoursAgo?: number) =>
      books.cleaning.clean(vesselId, {
        how: 'hot-water',
        by,
        ...(hoursAgo === undefined ? {} : { atMs: opened.nowMs - hoursAgo * HOUR }),
      })
    await expect(clean()).rejects.toMatchObject({ kind: 'conflict', field: null })
    await expect(clean(25)).rejects.toMatchObject({ kind: 'conflict', field: 'at' })
    await expect(clean()).rejects.toThrow(
      /^Cannot write the cleaning down: a batch is in Cone .*; end it first/,
    )
    expect((await clean(27)).atMs).toBe(opened.nowMs - 27 * HOUR)
    await opened.room.endBatch(batchId, {})
    expect((await clean()).atMs).toBe(opened.nowMs)
    await expect(clean(1)).rejects.toThrow(/a batch was in Cone .* until .*; correct its end first/)
    const [view] = (await books.cleaning.list()).filter(each => each.vesselId === vesselId)
    expect(view!.log, 'what was refused is not written').toHaveLength(2)
  })

  it('come back when ticking off is taken back, and what it wrote with it', async () => {
    const { opened, books } = it_
    const { batchId, vesselId } = await vesselWithBatch(opened, 26)
    await opened.room.endBatch(batchId, {})
    expect(await due()).toContain('cleaning')
    const reminder = opened.room.reminders().find(({ kind }) => kind === 'cleaning')
    await opened.room.doneReminder(reminder!.id, by)
    expect(await due()).not.toContain('cleaning')
    await opened.room.undoReminder(reminder!.id)
    expect(await due()).toContain('cleaning')
    const [view] = (await books.cleaning.list()).filter(each => each.vesselId === vesselId)
    expect(view!.lastCleanedAtMs).toBeNull()
  })
})
