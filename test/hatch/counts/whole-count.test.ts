import { describe, expect, it } from 'vitest'
import { countedAt, SAME_HARVEST_MS, wholeCountOf } from '../../../broker/hatch/counts/whole-count.ts'
import { countedOf } from '../../../broker/web/present-compare.ts'
import { harvestsOf } from '../../../broker/hatch/lot/harvests.ts'
import { estimateCount } from '../../../broker/hatch/counts/estimate.ts'
import type { BatchEvent, CountSample } from '../../../broker/room/contract.ts'

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
    expect(
      of(stirred(99, false), { ...stirred(0, false), atMs: drawnOff.atMs - SAME_HARVEST_MS - 1 }),
    ).toEqual(stirred(99, false))
    expect(of({ ...shortly, atMs: drawnOff.atMs - SAME_HARVEST_MS - 1 })).toBeNull()
    // A count midway says nothing of a harvest, and the other way round.
    const midway = { ...drawnOff, harvest: false }
    expect(wholeCountOf([stirred(99, true)], midway, countedAt)).toBeNull()
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
        estimate: estimateCount({ ...batch, samples: [sample], drawnOffMl }),
      }) as unknown as BatchEvent
    for (const marked of [true, false]) {
      const events = [counted(80, marked, whole), counted(100, true, { sampleMl: 1, nauplii: 500 }, 250)]
      // H% = 100 N / (N + U + E), Asem 2013: 150 of 200. And 500 in each of 250 mL are 62,500 from each of 2 g.
      expect(countedOf(events)).toEqual({ hatchPercentage: 75, naupliiPerG: 62_500 })
      const moment = { kind: 'count' as const, degH: 400, degHSd: 5 }
      const items = [
        { ...moment, ...stirred(80, marked), nauplii: 150, umbrella: 4, embryos: 46, sampledMl: 1 },
        { ...moment, ...drawnOff, nauplii: 500, umbrella: null, sampledMl: 4 },
      ]
      const [harvest] = harvestsOf([{ ...batch, startedAtMs: 0, items }])
      expect(harvest!.hatchPercentage!.value).toBeCloseTo(75, 9)
      expect(harvest!.naupliiPerG.value).toBeCloseTo(62_500, 6)
    }
  })
})
