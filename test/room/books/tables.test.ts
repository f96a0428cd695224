import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { csvText, readCsv } from '../../../broker/room/books/tables/csv.ts'
import { RowError, Taken } from '../../../broker/room/books/tables/contract.ts'
import { MOST_SET_ASIDE } from '../../../broker/room/books/tables/tables.ts'
import { openTestBooks, vesselWithBatch, type OpenedBooks } from './opened-books.ts'

const by = 'Ann'
let here: OpenedBooks
let there: OpenedBooks
beforeEach(async () => {
  here = await openTestBooks()
  there = await openTestBooks()
  const { opened, books } = here
  const { batchId, vesselId } = await vesselWithBatch(opened, 30, { lot: '=spring, "the" tin' })
  const { room } = opened
  await room.recordEvent(batchId, { kind: 'note', text: 'two\nlines; and “words”', by: '@Ann' })
  const { id: ph } = await room.recordEvent(batchId, { kind: 'ph', ph: 7.9, by })
  await room.withdrawEvent(batchId, ph)
  const samples = [
    { sampleMl: 1, nauplii: 201, umbrella: 4, embryos: 60 },
    { sampleMl: 0.5, dilution: 2, nauplii: 55 },
  ]
  await room.recordEvent(batchId, { kind: 'count', harvest: true, samples, by })
  const taken = {
    kind: 'taken',
    for: 'held',
    share: 0.5,
    coldC: 4,
    energyLeft: null,
    firstOutAtMs: null,
  } as const
  const { id: held } = await room.recordEvent(batchId, { ...taken, nauplii: 1e5, by })
  await books.held.draw(held, { for: 'fed', nauplii: 2e4, by })
  await room.endBatch(batchId, { note: '+good' })
  const [lot] = await books.lots.list()
  await books.lots.change(lot!.id, { gramsBought: 50, keptIn: 'freezer', openedOn: '2026-01-02' }, by)
  await books.lots.weigh(lot!.id, { gramsLeft: 33.25, by })
  await books.cleaning.clean(vesselId, { how: 'disinfected', by, words: 'bleach' })
  await books.presets.keep(null, {
    name: 'Mine',
    vesselId,
    litres: 1,
    cystsG: 2,
    salinityGpl: 25,
    goal: 'most',
  })
  await vesselWithBatch(opened, 2)
})
afterEach(async () => {
  await here.close()
  await there.close()
})

describe('tables', () => {
  it('have the units in their headings', async () => {
    const headings = async (name: string) => (await here.books.tables.csv(name)).split('\r\n')[0]
    expect(await headings('batches')).toBe(
      'id,vesselId,startedAt [UTC],endedAt [UTC],litres [L],cystsG [g],salinityGpl [g/L],lot,goal,note',
    )
    expect(await headings('counts')).toContain(
      'sample [number],sampleMl [mL],dilution [times],nauplii [count],umbrella [count],embryos [count]',
    )
    expect(await headings('held')).toContain('coldC [°C]')
  })

  it('have one at every number, and read files from before a column had its unit', async () => {
    for (const { name, columns } of here.books.tables.all) {
      const bare = columns.filter(({ type, unit }) => ['number', 'whole', 'time'].includes(type) && !unit)
      expect(bare, name).toEqual([])
      const csv = (await here.books.tables.csv(name)).replace(/^.*/, line => line.replace(/ \[[^\]]*\]/g, ''))
      expect((await there.books.tables.importCsv(name, csv)).refusals, name).toEqual([])
      expect(await there.books.tables.csv(name), name).toBe(await here.books.tables.csv(name))
    }
    const whole = await here.books.tables.json()
    const before = whole.replace(/ \[[^\]"]*\]":/g, '":')
    expect(before).not.toBe(whole)
    const { tables, refusals } = await there.books.tables.importJson(before)
    expect(refusals).toEqual([])
    expect(tables.every(({ added }) => added === 0)).toBe(true)
    await expect(
      there.books.tables.importJson(whole.replaceAll('litres [L]', 'litres [gal]')),
    ).rejects.toThrow(/litres \[gal\].*must be “litres \[L\]”/)
  })

  it('written out as CSV and brought in elsewhere are the same there, and once more change nothing', async () => {
    for (let round = 0; round < 2; round++) {
      for (const { name } of here.books.tables.all) {
        const text = await here.books.tables.csv(name)
        const report = await there.books.tables.importCsv(name, text)
        expect(report.refusals, name).toEqual([])
        if (round > 0) expect(report.tables, name).toMatchObject([{ added: 0, refused: 0 }])
        expect(await there.books.tables.csv(name), name).toBe(text)
      }
    }
    // Numbers and words mean the same there: the refrigerator, the shelf, the usual batch.
    expect(await there.books.held.list()).toMatchObject([{ left: 80_000, coldC: 4 }])
    expect(await there.books.lots.list()).toMatchObject([{ name: '=spring, "the" tin', gramsLeft: 33.25 }])
    const open = there.opened.room.snapshot().vessels.find(({ batch }) => batch !== null)
    expect(open?.forecast, 'an open batch goes on').not.toBeNull()
  })

  it('written out as one document are brought in whole, after a killed service too', async () => {
    const text = await here.books.tables.json()
    await there.books.tables.importJson(text)
    await there.again()
    const tablesOf = (json: string) => (JSON.parse(json) as { tables: object }).tables
    expect(tablesOf(await there.books.tables.json())).toEqual(tablesOf(text))
    const [batch] = await there.opened.room.batches({ open: false, limit: 1 })
    const log = await there.opened.room.batchEvents(batch!.id)
    expect(log.find(event => event.kind === 'count')?.estimate?.counted).toBe(256)
    expect((await there.opened.room.lots())[0]?.summary.counts).toBe(1)
  })

  it('take the good rows and keep the bad ones aside, as they came, with the reason, row by row', async () => {
    await there.books.tables.importCsv('vessels', await here.books.tables.csv('vessels'))
    const [heading, row] = readCsv(await here.books.tables.csv('batches'))
    const bad = (at: number, text: string, id: string) =>
      [id, ...row!.slice(1)].map((cell, n) => (n === at ? text : cell))
    const rows = [
      bad(4, '-1', 'x1'),
      bad(2, 'yesterday', 'x2'),
      row!,
      bad(1, 'nowhere', 'x3'),
      bad(8, 'tasty', 'x4'),
      bad(5, '', 'x5'),
    ]
    const text = csvText([heading!, ...rows])
    const { tables, refusals } = await there.books.tables.importCsv('batches', text)
    expect(tables).toEqual([{ table: 'batches', added: 1, same: 0, refused: 5 }])
    expect(refusals.map(({ row, why }) => [row, why])).toEqual([
      [1, expect.stringContaining('litres must be 0.001 to 100')],
      [2, expect.stringContaining('startedAt must be a time')],
      [4, expect.stringContaining('no vessel has the id nowhere')],
      [5, expect.stringContaining('goal must be one of')],
      [6, expect.stringContaining('cystsG [g] is missing')],
    ])
    const aside = await there.books.tables.setAside()
    expect(aside.map(({ cells: kept }) => kept['id'])).toEqual(['x5', 'x4', 'x3', 'x2', 'x1'])
    await there.books.tables.importCsv('batches', text)
    expect(await there.books.tables.setAside(), 'the same rows once more').toHaveLength(5)
    await there.books.tables.dropSetAside(aside[0]!.id)
    expect(await there.books.tables.setAside()).toHaveLength(4)
  })

  it('count what came in with a batch’s log as new, for it was not here before', async () => {
    const text = await here.books.tables.json()
    const report = async () => {
      const { tables, refusals } = await there.books.tables.importJson(text)
      expect(refusals).toEqual([])
      return new Map(tables.map(({ table, added, same }) => [table, [added, same]]))
    }
    const first = await report()
    expect([...first.values()].every(([, same]) => same === 0)).toBe(true)
    expect([first.get('counts'), first.get('held')]).toEqual([
      [2, 0],
      [1, 0],
    ])
    const again = await report()
    expect([...again.values()].every(([added]) => added === 0)).toBe(true)
  })

  it('never write over what is here: a row that differs is kept aside', async () => {
    const text = await here.books.tables.csv('vessels')
    const report = await here.books.tables.importCsv('vessels', text.replace(/,2,/, ',3,'))
    expect(report.tables).toMatchObject([{ added: 0, refused: 1 }])
    expect(report.refusals[0]?.why).toMatch(/its litres differs/)
    expect(await here.books.tables.csv('vessels')).toBe(text)
  })

  it('refuse what is no table of ours, and say what is wrong with it', async () => {
    const { tables } = here.books
    await expect(tables.csv('nothing')).rejects.toMatchObject({ field: 'table' })
    await expect(tables.importCsv('batches', 'id,name\r\n1,2')).rejects.toThrow(/has no column vesselId/)
    const text = await tables.csv('vessels')
    await expect(tables.importCsv('vessels', text.replace('name', 'name,colour'))).rejects.toThrow(/colour/)
    await expect(tables.importCsv('vessels', '"')).rejects.toThrow(/no end/)
    await expect(tables.importCsv('vessels', 'id,name,litres [gal],createdAt [UTC]\n')).rejects.toThrow(
      'column 3 is headed “litres [gal]”, and must be “litres [L]”',
    )
    for (const odd of ['', '{', '[]', '{"brinewatch":2,"tables":{}}', '{"brinewatch":1,"tables":{"odd":[]}}'])
      await expect(tables.importJson(odd)).rejects.toMatchObject({ kind: 'invalid' })
  })

  it('keep no more rows aside than their limit', async () => {
    const heading = (await here.books.tables.csv('vessels')).split('\r\n')[0]
    const rows = Array.from(
      { length: MOST_SET_ASIDE + 50 },
      (_, at) => `v${at},name,-1,2026-01-01T00:00:00Z,`,
    )
    const report = await here.books.tables.importCsv('vessels', [heading, ...rows].join('\r\n'))
    expect(report.tables).toMatchObject([{ refused: MOST_SET_ASIDE + 50 }])
    expect(report.refusals).toHaveLength(200)
    expect((await here.books.tables.setAside()).length).toBeLessThanOrEqual(MOST_SET_ASIDE)
  })

  it('can be added to by other parts of the house', async () => {
    const kept = new Map<string, number>()
    here.books.tables.add({
      name: 'fry',
      about: 'fry that eat',
      columns: [
        { key: 'id', type: 'text' },
        { key: 'number', type: 'whole', unit: 'fry' },
      ],
      rows: async () => [...kept].map(([id, number]) => ({ id, number })),
      async take(row) {
        if (Number(row['number']) > 1000) throw new RowError('Too many fry')
        if (kept.has(String(row['id']))) return Taken.same
        kept.set(String(row['id']), Number(row['number']))
        return Taken.added
      },
    })
    await here.books.tables.importCsv('fry', 'id,number [fry]\r\na,200\r\nb,2000\r\n')
    expect(await here.books.tables.csv('fry')).toBe('id,number [fry]\r\na,200\r\n')
    expect((await here.books.tables.setAside())[0]?.why).toBe('Too many fry')
  })
})
