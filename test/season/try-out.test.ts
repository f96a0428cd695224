import { describe, expect, it } from 'vitest'
import { TryOuts } from '../../broker/replay/try-out.ts'
import type { TriedBatch } from '../../broker/replay/contract.ts'
import { takeIn } from '../../broker/room/handover/take-in.ts'
import { unpacked } from '../../broker/room/handover/unpacked.ts'
import type { HandedOver } from '../../broker/room/handover/format.ts'
import { openRoom } from '../../broker/room/room.ts'
import { defaultSettings } from '../../broker/room/settings.ts'
import { readSeason } from '../../sim/demo/season.ts'
import { fullStore } from '../replay/full-store.ts'
import { settled, SILENT } from '../replay/lived-room.ts'
import { FORECAST_EVERY_MS, TICK_MS } from './live.ts'

const season = readSeason() as unknown as { anchorMs: number; batches: HandedOver[] }
/** The whole season would take a minute. */
const batches = season.batches.slice(0, 9)
const HOUR_MS = 3_600_000

describe('a try-out with nothing changed, on batches of the demo’s season', () => {
  it('says what the journal says: the same alarms, called as often, at the same times as far as the season’s ticks tell them', async () => {
    const store = {
      ...fullStore(),
      keepPhoto: async () => undefined,
      photoTotals: async () => ({ ofBatch: 0, bytes: 0 }),
    }
    const clock = () => season.anchorMs + 24 * HOUR_MS
    const { room } = await openRoom({ store, clock, newId: () => 'here', logger: SILENT })
    for (const file of batches) await takeIn(store, room, unpacked(file))

    // One of each rule that called, the two whose beginning hangs on earlier batches of the lot, and one where nobody was called.
    const chosen = new Map<string, HandedOver>()
    for (const file of batches)
      for (const [rule] of calledIn(file)) if (!chosen.has(rule)) chosen.set(rule, file)
    const late = batches.filter(file => calledIn(file).some(([rule]) => rule === 'harvest-missed'))
    const quiet = batches.find(file => calledIn(file).length === 0)!
    const files = [...new Set([...chosen.values(), ...late, quiet])]
    expect([...chosen.keys()].length).toBeGreaterThan(1)
    expect(late.length).toBeGreaterThan(1)

    const tried = new Map<string, TriedBatch>()
    const tryOuts = new TryOuts({
      store,
      logger: SILENT,
      breathe: settled,
      tickMs: TICK_MS,
      forecastEveryMs: FORECAST_EVERY_MS,
    })
    await tryOuts.run(
      {
        settings: defaultSettings,
        proposed: defaultSettings.rules,
        batchIds: files.map(({ batch }) => batch.id),
        newest: files.length,
        nowMs: clock(),
      },
      {
        onTotal: () => undefined,
        onProgress: () => undefined,
        onBatch: each => void tried.set(each.batchId, each),
      },
    )
    for (const file of files) {
      const { alarms } = tried.get(file.batch.id)!
      const found = alarms.map(({ rule, now }) => [rule, now!.calledAtMs] as const)
      const was = calledIn(file)
      expect(found.map(([rule, at]) => [rule, at.length])).toEqual(was.map(([rule, at]) => [rule, at.length]))
      for (const [n, [rule, times]] of was.entries()) {
        // What hangs on a forecast is called when the next one is made.
        const aboutMs = rule === 'harvest-missed' ? FORECAST_EVERY_MS : 2 * TICK_MS
        for (const [call, atMs] of times.entries())
          expect(Math.abs(found[n]![1][call]! - atMs)).toBeLessThanOrEqual(aboutMs)
      }
    }
  }, 120_000)
})

/** The alarms of a batch that called, with each of their calls, as the log of the watch has them: the first called first. */
function calledIn({ vessel, batch, watch }: HandedOver): (readonly [string, readonly number[]])[] {
  const calls = new Map<string, { rule: string; times: number[] }>()
  for (const row of watch) {
    if (row.kind !== 'alarm' || !row.line.calls || row.vesselId !== vessel.id || row.alarmId === null)
      continue
    if (row.atMs < batch.startedAtMs || row.atMs > batch.endedAtMs!) continue
    const one = calls.get(row.alarmId) ?? { rule: row.line.rule, times: [] }
    calls.set(row.alarmId, one)
    one.times.push(row.atMs)
  }
  return [...calls.values()].map(({ rule, times }) => [rule, times] as const)
}
