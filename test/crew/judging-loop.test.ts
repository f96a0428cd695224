import { describe, expect, it } from 'vitest'
import { JudgingLoop } from '../../broker/crew/judging-loop.ts'
import { Quality } from '../../broker/intake/reading.ts'
import { BEGINNING } from '../../broker/store/postgres/position.ts'
import { pack, reading, START_MS } from '../store/examples.ts'

/** A lead with some packs, a store that only writes down what it is given, and a room that decides something at pack 3. */
function rig(packs: ReturnType<typeof pack>[], isWhole = true) {
  const log: string[] = []
  const seen: ReturnType<typeof pack>[] = []
  let given = false
  const store = {
    onRuleMemory: null as (() => void) | null,
    keepRuleMemory(upTo: number | null) {
      this.onRuleMemory?.()
      log.push(`memory ${upTo}`)
      // The commit begins where the turn ends.
      setImmediate(() => log.at(-1) !== 'commit' && log.push('commit'))
    },
    keepJudged: async ({ id }: { id: number }) => void log.push(`judged ${id}`),
    lookForLoose: () => undefined,
  }
  const lead = {
    position: BEGINNING,
    isLost: false,
    waiting: async () => null,
    async next() {
      if (given) return []
      given = true
      return packs.map((each, at) => ({ pack: each, position: { tx: '9', id: at + 1 } }))
    },
  }
  const room = {
    judge(each: ReturnType<typeof pack>) {
      seen.push(each)
      if (each.seq === 3) store.keepRuleMemory(3)
    },
    keepMemories() {
      store.keepRuleMemory(seen.at(-1)?.seq ?? null)
      return isWhole
    },
  }
  const parts = { lead, store, room, clock: () => START_MS, logger: { error: () => undefined } }
  const loop = new JudgingLoop(parts as never)
  return { loop, log, seen }
}

describe('judging what all workers keep', () => {
  it('keeps how far it came in the same turn as what was decided, and all that is remembered of that', async () => {
    const { loop, log } = rig([1, 2, 3, 4, 5].map(seq => pack(seq)))
    await loop.caughtUp
    await new Promise(resolve => setImmediate(resolve))
    expect(log).toEqual(['memory 3', 'memory 5', 'judged 5', 'commit'])
    await loop.close()
  })

  it('says nothing of how far it came while something that was decided is not on disk', async () => {
    const { loop, log } = rig(
      [1, 2, 3].map(seq => pack(seq)),
      false,
    )
    await loop.caughtUp
    loop.keep()
    await loop.close()
    expect(log.filter(line => line.startsWith('judged'))).toEqual([])
  })

  it('tells by all readings of a device what each worker saw its share of', async () => {
    // A probe that is pulled out: it falls by 5 °C a minute; no worker saw more than every third reading, so all were good to them.
    const fall = Array.from({ length: 24 }, (_, n) => {
      const atMs = START_MS + n * 5000
      return pack(n, { receivedAtMs: atMs, readings: [reading(atMs, n < 6 ? 27 : 27 - ((n - 5) * 5) / 12)] })
    })
    const { loop, seen } = rig(fall)
    await loop.caughtUp
    await loop.close()
    const qualities = seen.map(({ readings }) => readings[0]!.quality)
    expect(qualities.slice(0, 7)).toEqual(Array(7).fill(Quality.good))
    expect(qualities.at(-1)).toBe(Quality.outOfWater)
  })
})
