import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { ConfigBook, CONFIGS_LIMIT, type NewDeviceConfig } from '../../broker/devices/config-book.ts'
import { createDeviceConfigPost, type DeviceConfigPost } from '../../broker/devices/config-post.ts'
import type { RoomChange } from '../../broker/room/contract.ts'
import { DEFAULT_DEVICE_CONFIG, deviceConfig } from '../../firmware-protocol/device-config.ts'
import { aDevice } from '../web/examples.ts'

const config = (more: Partial<NewDeviceConfig> = {}): NewDeviceConfig => ({
  ...DEFAULT_DEVICE_CONFIG,
  ...more,
})

/** What outlives a restart. */
let documents: Map<string, string>
let book: ConfigBook
let post: DeviceConfigPost
let published: { topic: string; payload: string }[]
let away: boolean
let listener: (change: RoomChange) => void

async function open(): Promise<void> {
  book = await ConfigBook.open({
    store: {
      document: async key => documents.get(key),
      keepDocument: async (key, json) => void documents.set(key, json),
    },
    onChange: device => post.changed(device),
  })
  post = createDeviceConfigPost({
    book,
    room: {
      onChange(hear) {
        listener = hear
        return () => (listener = () => undefined)
      },
    },
    publish: async (topic, payload) => {
      if (away) throw new Error('the broker is away')
      published.push({ topic, payload })
    },
    logger: { warn: () => undefined },
  })
}
const pass = (ms: number) => vi.advanceTimersByTimeAsync(ms)
const last = () => deviceConfig.parse(JSON.parse(published.at(-1)!.payload))

beforeEach(async () => {
  vi.useFakeTimers()
  documents = new Map()
  published = []
  away = false
  await open()
})
afterEach(() => {
  post.close()
  vi.useRealTimers()
})

describe("a device's settings", () => {
  it('are told once they are kept, whole, with a number that counts up', async () => {
    expect(book.of('bench-1')).toEqual(DEFAULT_DEVICE_CONFIG)
    await book.change('bench-1', config({ sampleIntervalS: 10 }))
    await pass(2000)
    expect(published).toHaveLength(1)
    expect(published[0]!.topic).toBe('brinewatch/v1/bench-1/config')
    expect(last()).toEqual({ ...DEFAULT_DEVICE_CONFIG, revision: 1, sampleIntervalS: 10 })
    await book.change('bench-1', config({ limits: { water: { high: 29.4 } } }))
    await pass(2000)
    expect(last()).toMatchObject({ revision: 2, sampleIntervalS: 1, limits: { water: { high: 29.4 } } })
  })

  it('are told again at the start, to those that somebody set something for', async () => {
    await book.change('bench-1', config({ silentBrokerMinutes: 3 }))
    await pass(2000)
    post.close()
    published = []
    await open()
    post.tellAll()
    await pass(2000)
    expect(published.map(({ topic }) => topic)).toEqual(['brinewatch/v1/bench-1/config'])
    expect(last()).toMatchObject({ revision: 1, silentBrokerMinutes: 3 })
  })

  it('wait while the broker is away, and then are the newest', async () => {
    away = true
    await book.change('bench-1', config({ sampleIntervalS: 2 }))
    await pass(1000)
    await book.change('bench-1', config({ sampleIntervalS: 3 }))
    await pass(1000)
    expect(published).toEqual([])
    away = false
    await pass(5000)
    expect(published).toHaveLength(1)
    expect(last()).toMatchObject({ revision: 2, sampleIntervalS: 3 })
  })

  it('are taken back when the device is revoked, and told to the next of its name', async () => {
    await book.change('bench-1', config())
    await pass(2000)
    listener({ kind: 'device-removed', device: 'bench-1' })
    await pass(2000)
    expect(published.at(-1)!.payload).toBe('')
    post.tellAll()
    await pass(2000)
    expect(published.at(-1)!.payload).toBe('')
    listener({ kind: 'device', device: aDevice('bench-1') })
    await pass(2000)
    expect(last()).toMatchObject({ revision: 1 })
  })

  it('give each of two changes at once a number of its own', async () => {
    const both = await Promise.all([book.change('bench-1', config()), book.change('bench-1', config())])
    expect(both.map(({ revision }) => revision)).toEqual([1, 2])
  })

  it('are refused when they do not fit, and nothing is told', async () => {
    const many = Object.fromEntries(Array.from({ length: 65 }, (_each, n) => [`${n}/water`, { high: 30 }]))
    for (const wrong of [
      { sampleIntervalS: 0.5 },
      { silentBrokerMinutes: 1, reportIntervalS: 30 },
      { limits: { water: { low: 2, high: 1 } } },
      { limits: many },
    ])
      await expect(book.change('bench-1', config(wrong))).rejects.toMatchObject({ kind: 'invalid' })
    await pass(2000)
    expect(published).toEqual([])
    expect(book.of('bench-1').revision).toBe(0)
  })

  it('are bounded in number', async () => {
    documents.set(
      'device-configs',
      JSON.stringify(Object.fromEntries(Array.from({ length: CONFIGS_LIMIT }, (_each, n) => [`d${n}`, {}]))),
    )
    await open()
    await expect(book.change('one-more', config())).rejects.toMatchObject({ kind: 'conflict' })
    expect(await book.change('d0', config())).toMatchObject({ revision: 1 })
  })
})
