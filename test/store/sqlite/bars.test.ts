import { statSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import type { PlacedPack } from '../../../broker/intake/reading.ts'
import { ThreadAsker } from '../../../broker/store/sqlite/asker.ts'
import { pack, reading, source, START_MS } from '../examples.ts'
import { sqlitePlace } from './place.ts'

const SECONDS = 36 * 3600

/** Even numbers from 0 to 1 out of a seed: the generator of Park and Miller, Communications of the ACM 31 (1988), 1192. */
function chance(seed: number): () => number {
  let state = seed
  return () => (state = (state * 16_807) % 2_147_483_647) / 2_147_483_647
}

/** A batch's 36 h at one reading a second: a probe with steps of 0.0625 °C, a noisy flow, lux, a clock a few ms uneven. */
function* readings(): Generator<PlacedPack> {
  const next = chance(7)
  const noise = (spread: number) => (next() + next() + next() + next() - 2) * Math.sqrt(3) * spread
  for (let seq = 0; seq < SECONDS; seq++) {
    const atMs = START_MS + seq * 1000 + Math.round(noise(3))
    const water = Math.round((27 + Math.sin(seq / 8000) + noise(0.04)) * 16) / 16
    const air = Math.round((1.5 + noise(0.05)) * 1000) / 1000
    const light = Math.round(2000 + noise(15))
    yield {
      device: 'bench-1',
      boot: 'b1',
      seq,
      receivedAtMs: atMs + 15,
      readings: [
        reading(atMs, water),
        reading(atMs, air, { channel: 'air', quantity: 'air', unit: 'l/min' }),
        reading(atMs, light, { channel: 'light', quantity: 'light', unit: 'lx' }),
      ],
    }
  }
}

describe('a batch of 36 h at one reading a second on three channels', () => {
  it('takes at most 3 bytes a value on disk, all counted, and comes back from a thread as it was', async () => {
    const place = await sqlitePlace({})
    let store = await place.open()
    const expected: number[] = []
    let turn: Promise<void>[] = []
    for (const pack of readings()) {
      expected.push(pack.readings[1]!.value!)
      turn.push(store.keepPack(pack))
      if (turn.length < 100) continue
      await Promise.all(turn)
      turn = []
    }
    await Promise.all(turn)
    await store.seal('bench-1')
    const channels = {
      water: [source()],
      air: [source({ channel: 'air' })],
      light: [source({ channel: 'light' })],
    }
    const query = { channels, fromMs: START_MS, toMs: START_MS + SECONDS * 1000, points: 1200 }
    const history = await store.history(query)
    for (const { t } of Object.values(history)) {
      expect(t.length).toBeGreaterThan(800)
      expect(t.length).toBeLessThanOrEqual(1200)
    }
    await store.close()
    const bytes = statSync(join(place.dir, 'brinewatch.db')).size
    expect(bytes / (SECONDS * 3)).toBeLessThanOrEqual(3)

    store = await place.open()
    expect(store.seen('bench-1', 'b1')).toEqual([[0, SECONDS - 1]])
    expect((await store.samples(channels.air)).map(({ value }) => value)).toEqual(expected)
    await store.close()
    await place.dispose()
  }, 60_000)
})

describe('questions on a thread', () => {
  it('are rejected when the thread cannot start, and answered once it can', async () => {
    const place = await sqlitePlace()
    const asker = new ThreadAsker(join(place.dir, 'brinewatch.db'))
    await expect(asker.ask('latest', null)).rejects.toMatchObject({ name: 'StoreError' })
    await (await place.open()).close()
    expect(await asker.ask('latest', null)).toEqual([])
    await asker.close()
    await place.dispose()
  })

  it('are worked on to the end by a store that closes while it packs', async () => {
    const place = await sqlitePlace({})
    let store = await place.open()
    await Promise.all(Array.from({ length: 300 }, (_, seq) => store.keepPack(pack(seq))))
    const sealing = store.seal('bench-1')
    const outcome = expect(sealing).rejects.toMatchObject({ code: 'closed' })
    await Promise.all([store.close(), outcome])
    store = await place.open()
    expect(await store.samples([source()])).toHaveLength(300)
    await store.close()
    await place.dispose()
  })

  it('wait in a line of bounded length, and are rejected when the store closes', async () => {
    const place = await sqlitePlace({})
    const store = await place.open()
    await store.latest()
    const all = Array.from({ length: 400 }, () => store.latest())
    const rest = Promise.allSettled(all)
    const answered = (await rest).filter(({ status }) => status === 'fulfilled').length
    expect(answered).toBe(256)
    expect(await store.latest()).toEqual([])
    const asked = [store.latest(), store.samples([source()])].map(one =>
      expect(one).rejects.toMatchObject({ code: 'closed' }),
    )
    await Promise.all([store.close(), ...asked])
    await place.dispose()
  })
})
