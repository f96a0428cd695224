import { describe, expect, it } from 'vitest'
import { read } from '../../broker/room/handover/read.ts'
import type { HandedOver } from '../../broker/room/handover/format.ts'
import { moved, playSeason, readSeason } from '../../sim/demo/season.ts'
import { liveSeason } from './live.ts'
import { planSeason, SEED, STORIES } from './plan.ts'

const DAY_MS = 86_400_000
const season = readSeason() as unknown as {
  anchorMs: number
  lots: { name: string }[]
  batches: HandedOver[]
}
const bytes = (file: object) => new TextEncoder().encode(JSON.stringify(file))

describe('the invented season of the demo', () => {
  it('has some forty batches, good and bad, alarms with their answers, counts, and says that it is invented', async () => {
    const { batches, lots } = season
    expect(batches).toHaveLength(STORIES.length)
    expect(new Set(batches.map(({ batch }) => batch.lot))).toEqual(new Set(lots.map(({ name }) => name)))
    for (const file of batches) {
      // As it will be read: whatever the format asks, it has.
      expect((await read(bytes(file))).batch.id).toBe(file.batch.id)
      expect(
        [file.vessel.name, file.batch.lot, file.batch.note].every(words => /invented/i.test(words!)),
      ).toBe(true)
      expect(file.events.some(({ said }) => said.kind === 'count' && said.harvest)).toBe(true)
    }
    const alarms = batches.flatMap(file => file.alarms)
    expect(new Set(alarms.map(({ rule }) => rule)).size).toBeGreaterThan(4)
    expect(alarms.some(({ acknowledgedBy }) => acknowledgedBy !== null)).toBe(true)
    // No two at once in one vessel.
    for (const a of batches)
      for (const b of batches)
        if (a !== b && a.vessel.id === b.vessel.id)
          expect(a.batch.endedAtMs! <= b.batch.startedAtMs || b.batch.endedAtMs! <= a.batch.startedAtMs).toBe(
            true,
          )
  })

  it('is what its seed gives: the first batch is played again', async () => {
    const [again] = await liveSeason(planSeason(SEED, STORIES.slice(0, 1)), 'test')
    const [kept] = season.batches
    expect(again!.channels.map(({ readings }) => readings)).toEqual(
      kept!.channels.map(({ readings }) => readings),
    )
    // Only of the last ones something is held cold, and alone the first is the last.
    const done = ({ events }: HandedOver) =>
      events
        .filter(({ said }) => said.kind !== 'taken' || said.for !== 'held')
        .map(({ atMs, said }) => [atMs, said.kind])
    expect(done(again!)).toEqual(done(kept!))
  })

  it('lies before the day on which the demo is looked at, whenever that is', async () => {
    for (const nowMs of [Date.UTC(2027, 5, 3, 0, 1), Date.UTC(2026, 1, 28, 23, 59)]) {
      const taken: HandedOver[] = []
      const api = {
        addLot: async () => undefined,
        addCohort: async () => undefined,
        takeBatch: async (batch: object) => void taken.push(batch as HandedOver),
      }
      expect(await playSeason(api, nowMs, () => false)).toBe(season.batches.length)
      for (const [at, file] of taken.entries()) {
        expect(file.batch.endedAtMs!).toBeLessThan(nowMs)
        expect(file.batch.startedAtMs).toBeGreaterThan(nowMs - 30 * DAY_MS)
        const byMs = file.batch.startedAtMs - season.batches[at]!.batch.startedAtMs
        for (const { atMs, recordedAtMs } of file.events)
          expect(Math.max(atMs, recordedAtMs)).toBeLessThan(nowMs)
        for (const { readings } of file.channels) expect(readings.startMs).toBeLessThan(nowMs)
        for (const { raisedAtMs, clearedAtMs } of file.alarms) {
          expect(raisedAtMs).toBeGreaterThanOrEqual(file.batch.startedAtMs - DAY_MS)
          expect(clearedAtMs ?? 0).toBeLessThan(nowMs)
        }
        expect(file.settings).toEqual(season.batches[at]!.settings)
        expect(moved(file, -byMs)).toEqual(season.batches[at])
      }
    }
    expect(
      await playSeason(
        { addLot: async () => undefined, addCohort: async () => undefined, takeBatch: async () => undefined },
        1e12,
        () => true,
      ),
    ).toBe(0)
  })
})
