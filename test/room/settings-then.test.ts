import { afterEach, expect, it } from 'vitest'
import { HOUR, openTestRoom, type Opened } from './opened.ts'

let opened: Opened
afterEach(() => opened.close())

it('tells which limits were in force over a span, from its beginning on', async () => {
  opened = await openTestRoom()
  const { room } = opened
  const startMs = opened.nowMs
  const hotter = async (limit: number) => {
    const { settings } = room.snapshot()
    const rules = { ...settings.rules, 'water-too-hot': { ...settings.rules['water-too-hot'], limit } }
    await room.changeSettings({ ...settings, rules })
  }
  const limits = async (fromH: number, toH: number) => {
    const span = { fromMs: startMs + fromH * HOUR, toMs: startMs + toH * HOUR }
    const then = await room.settingsThen(span)
    return then.map(({ fromMs, rules }) => [(fromMs - startMs) / HOUR, rules['water-too-hot'].limit])
  }
  opened.nowMs = startMs + 10 * HOUR
  await hotter(30)
  opened.nowMs = startMs + 20 * HOUR
  await hotter(28)
  await opened.store.settled()
  expect(await limits(1, 5)).toEqual([[1, 29.4]])
  expect(await limits(5, 15)).toEqual([
    [5, 29.4],
    [10, 30],
  ])
  expect(await limits(12, 15)).toEqual([[12, 30]])
  expect(await limits(25, 30)).toEqual([[25, 28]])
  // What holds today says nothing of a time before anything was noted: what was noted first is nearer to it.
  expect(await limits(-9, -5)).toEqual([[-9, 29.4]])
  expect(await limits(-9, 5)).toEqual([
    [-9, 29.4],
    [0, 29.4],
  ])
})

it('notes them at a start only where they are others than those noted last', async () => {
  opened = await openTestRoom()
  opened = await opened.reopen()
  await opened.store.settled()
  const noted = await opened.store.watchLog({
    fromMs: 0,
    toMs: opened.nowMs + 1,
    kinds: ['settings'],
    limit: 9,
  })
  expect(noted).toHaveLength(1)
})

it('reads what a vessel measured that was taken out of the room since', async () => {
  opened = await openTestRoom()
  const { room } = opened
  const { row } = await room.createVessel({ name: 'Left', litres: 1 })
  await room.assignChannels(row.id, { channels: { water: { device: 'd', channel: 'water' } }, offsets: {} })
  const fromMs = opened.nowMs
  await opened.send('d', { water: 27 }, fromMs + 1000)
  opened.nowMs += HOUR
  await room.retireVessel(row.id)
  const { water } = await room.readings(row.id, { fromMs, toMs: fromMs + HOUR, points: 10 })
  expect(water?.mean).toEqual([27])
})
