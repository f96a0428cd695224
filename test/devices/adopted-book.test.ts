import { describe, expect, it } from 'vitest'
import { AdoptedBook, ADOPTED_LIMIT, type NewAdoptedTopic } from '../../broker/devices/adopted-book.ts'
import { addBridge, bridgeTopics, listBridges, removeBridge } from '../../broker/devices/bridges.ts'
import type { RecordRow } from '../../broker/store/books-contract.ts'

function memory() {
  const documents = new Map<string, string>()
  const records = new Map<string, RecordRow>()
  const bench = { name: 'bench-1', createdAtMs: 0, revokedAtMs: null }
  return {
    document: async (key: string) => documents.get(key),
    keepDocument: async (key: string, json: string) => void documents.set(key, json),
    devices: async () => [bench],
    records: async () => [...records.values()],
    keepRecord: async (row: RecordRow) => void records.set(row.id, row),
    dropRecord: async ({ id }: { id: string }) => void records.delete(id),
  }
}
const shelf: NewAdoptedTopic = {
  topic: 'home/shelf',
  pointer: '/t',
  device: 'shelf',
  channel: 'water',
  unit: 'Cel',
  scale: 1,
  offset: 0,
}

describe('the book of adopted topics', () => {
  it('keeps them over a start, and tells of changes', async () => {
    const store = memory()
    let [ids, changes] = [0, 0]
    const open = () => AdoptedBook.open({ store, newId: () => `t${ids++}`, onChange: () => changes++ })
    const book = await open()
    const one = await book.adopt(shelf)
    await book.adopt({ ...shelf, channel: 'light', unit: 'lx', pointer: '/lux' })
    expect(book.of('home/shelf').map(({ channel }) => channel)).toEqual(['water', 'light'])
    expect((await open()).topics()).toEqual(['home/shelf'])
    await book.drop(one.id)
    expect((await open()).list().map(({ channel }) => channel)).toEqual(['light'])
    expect(changes).toBe(3)
    await expect(book.drop('nope')).rejects.toMatchObject({ kind: 'not-found' })
  })

  it.each([
    ['topic', { topic: 'home/#' }],
    ['topic', { topic: 'brinewatch/v1/a/state' }],
    ['topic', { topic: '$SYS/x' }],
    ['pointer', { pointer: 't' }],
    ['device', { device: 'no name' }],
    ['channel', { channel: 'has space' }],
    ['unit', { unit: 'Far' }],
    ['scale', { scale: 0 }],
    ['scale', { scale: NaN }],
    ['offset', { offset: Infinity }],
  ])('refuses a wrong %s: %o', async (field, wrong) => {
    const book = await AdoptedBook.open({ store: memory(), newId: () => 't' })
    await expect(book.adopt({ ...shelf, ...wrong })).rejects.toMatchObject({ kind: 'invalid', field })
  })

  it('takes no name of a device that speaks for itself, no channel twice, and has a limit', async () => {
    const book = await AdoptedBook.open({ store: memory(), newId: () => 't' })
    await expect(book.adopt({ ...shelf, device: 'bench-1' })).rejects.toMatchObject({
      kind: 'conflict',
      field: 'device',
    })
    await book.adopt(shelf)
    await expect(book.adopt({ ...shelf, topic: 'other' })).rejects.toMatchObject({
      kind: 'conflict',
      field: 'channel',
    })
    for (let at = 1; at < ADOPTED_LIMIT; at++) await book.adopt({ ...shelf, channel: `${at}/water` })
    await expect(book.adopt({ ...shelf, channel: 'x/water' })).rejects.toThrow(`${ADOPTED_LIMIT} already`)
  })
})

describe('bridges', () => {
  it('have a password of their own, that is good until they are removed', async () => {
    const store = memory()
    const password = await addBridge(store, { name: 'house', topics: ['home/#', '+/x'], nowMs: 1 })
    expect(await bridgeTopics(store, 'house', password)).toEqual(['home/#', '+/x'])
    expect(await bridgeTopics(store, 'house', 'no')).toBeUndefined()
    expect(await bridgeTopics(store, 'bench-1', password)).toBeUndefined()
    expect(await listBridges(store)).toEqual([{ name: 'house', topics: ['home/#', '+/x'], createdAtMs: 1 }])
    await removeBridge(store, 'house')
    expect(await bridgeTopics(store, 'house', password)).toBeUndefined()
    await expect(removeBridge(store, 'house')).rejects.toMatchObject({ kind: 'not-found' })
  })

  it('are refused a name that is taken, and topics that are none or are ours', async () => {
    const store = memory()
    await addBridge(store, { name: 'house', topics: ['a'], nowMs: 1 })
    for (const name of ['house', 'bench-1'])
      await expect(addBridge(store, { name, topics: ['a'], nowMs: 1 })).rejects.toMatchObject({
        kind: 'conflict',
      })
    for (const topics of [
      [],
      ['a/#/b'],
      ['a+'],
      ['brinewatch/#'],
      ['$SYS/#'],
      Array.from({ length: 17 }, (_, at) => `t${at}`),
    ])
      await expect(addBridge(store, { name: 'x', topics, nowMs: 1 })).rejects.toMatchObject({
        field: 'topics',
      })
  })
})
