import { describe, expect, it } from 'vitest'
import {
  countedAt,
  ONE_HARVEST_MS,
  SHORTLY_MS,
  wholeCountOf,
} from '../../../broker/hatch/counts/whole-count.ts'
import { countedOf } from '../../../broker/web/present-compare.ts'
import { harvestsOf } from '../../../broker/hatch/lot/harvests.ts'
import { estimateCount } from '../../../broker/hatch/counts/estimate.ts'
import { evidenceFrom } from '../../../broker/room/batch-evidence.ts'
import { BatchForecast } from '../../../broker/room/batch-forecast.ts'
import type { BatchEvent, CountSample } from '../../../broker/room/event-contract.ts'

const MINUTE = 60_000
const drawnOff = { atMs: 100 * MINUTE, harvest: true, embryos: null }
const of = (...counts: { atMs: number; harvest: boolean; embryos: number | null }[]) =>
  wholeCountOf([...counts, drawnOff], drawnOff, countedAt)
const stirred = (minute: number, harvest: boolean) => ({ atMs: minute * MINUTE, harvest, embryos: 30 })

describe('the count that tells the share that hatched, beside one of what was drawn off', () => {
  it('is that of the stirred vessel at the same harvest, the newest of them', () => {
    expect(of()).toBeNull()
    const marked = stirred(60, true)
    expect(of(stirred(10, true), marked)).toBe(marked)
    const same = { ...drawnOff, embryos: 4 }
    expect(wholeCountOf([marked, same], same, countedAt), 'its own, where it has one').toBe(same)
  })

  it('is also one that nobody marked as the harvest’s, within the hour and no longer', () => {
    const shortly = stirred(70, false)
    expect(of(shortly)).toBe(shortly)
    expect(of(stirred(99, false), { ...stirred(0, false), atMs: drawnOff.atMs - SHORTLY_MS - 1 })).toEqual(
      stirred(99, false),
    )
    expect(of({ ...shortly, atMs: drawnOff.atMs - SHORTLY_MS - 1 })).toBeNull()
    // Of a harvest before this one, after which the air was on again for hours.
    expect(of({ ...stirred(0, true), atMs: drawnOff.atMs - ONE_HARVEST_MS - 1 })).toBeNull()
  })

  it('goes into the lot’s record and the comparison, whichever way it was marked', () => {
    const batch = { litres: 1, cystsG: 2 }
    const whole = { sampleMl: 1, nauplii: 150, umbrella: 4, embryos: 46 }
    const counted = (minute: number, harvest: boolean, sample: CountSample, drawnOffMl?: number) =>
      ({
        ...{
          id: String(minute),
          kind: 'count',
          harvest,
          atMs: minute * MINUTE,
          withdrawnAtMs: null,
          drawnOffMl,
        },
        samples: [sample],
        estimate: estimateCount({ ...batch, samples: [sample], drawnOffMl }),
      }) as unknown as BatchEvent
    for (const marked of [true, false]) {
      const events = [counted(80, marked, whole), counted(100, true, { sampleMl: 1, nauplii: 500 }, 250)]
      // H% = 100 N / (N + U + E), Asem 2013: 150 of 200. HE is of the vessel: 150 in each of 1,000 mL are
      // 75,000 from each of 2 g, however many of them were drawn off.
      expect(countedOf(events)).toEqual({ hatchPercentage: 75, naupliiPerG: 75_000 })
      const moment = { kind: 'count' as const, degH: 400, degHSd: 5 }
      const items = [
        { ...moment, ...stirred(80, marked), nauplii: 150, umbrella: 4, embryos: 46, sampledMl: 1 },
        { ...moment, ...drawnOff, nauplii: 500, umbrella: null, sampledMl: 4 },
      ]
      // Set up a day before, so that all of it can be out.
      const [harvest] = harvestsOf([{ ...batch, startedAtMs: -1440 * MINUTE, items }])
      expect(harvest!.hatchPercentage!.value).toBeCloseTo(75, 9)
      expect(harvest!.naupliiPerG.value).toBeCloseTo(75_000, 6)
    }
  })

  it('is all that is learned from of the two: what stayed behind had hatched as well', () => {
    const row = {
      id: 'b',
      vesselId: 'v',
      startedAtMs: 0,
      endedAtMs: null,
      litres: 1,
      cystsG: 2,
      salinityGpl: 25,
    }
    const batch = { ...row, lot: null, goal: 'balanced', note: null } as const
    const count = (minute: number, samples: readonly CountSample[], drawnOffMl?: number) =>
      ({
        ...{ id: String(minute), kind: 'count', harvest: true, atMs: minute * MINUTE, withdrawnAtMs: null },
        ...{ samples, drawnOffMl },
      }) as unknown as BatchEvent
    const whole = count(1400, [{ sampleMl: 1, nauplii: 150, embryos: 46 }])
    const drawn = count(1430, [{ sampleMl: 1, nauplii: 300 }], 250)
    const learned = (...events: BatchEvent[]) =>
      evidenceFrom(batch, events, new BatchForecast(batch)).items.map(({ atMs }) => atMs / MINUTE)
    expect(learned(whole, drawn)).toEqual([1400])
    expect(learned(drawn)).toEqual([1430])
    expect(learned({ ...whole, withdrawnAtMs: 1 }, drawn)).toEqual([1430])
  })
})
