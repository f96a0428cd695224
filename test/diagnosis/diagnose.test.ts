import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { CauseKind, type Diagnosis } from '../../broker/diagnosis/contract.ts'
import { diagnose } from '../../broker/diagnosis/diagnose.ts'
import { Quality } from '../../broker/intake/reading.ts'
import { aBatch, HOUR_MS, series, START_MS, still } from './batch.ts'

const named = ({ causes }: Diagnosis) => causes.map(({ kind }) => kind)
const looked = ({ causes, ruledOut }: Diagnosis) => [...causes, ...ruledOut]
const between =
  (fromH: number, toH: number, inside: number, outside: number) => (atH: number, step: number) =>
    (atH >= fromH && atH < toH ? inside : outside) + 0.0625 * (step % 3)

describe('diagnose', () => {
  it('blames a well batch for nothing, and says so', () => {
    const diagnosis = diagnose(aBatch())
    expect(diagnosis.causes).toEqual([])
    expect(diagnosis.verdict).toBe('nothing')
    expect(diagnosis.balance.counted!.best).toBeCloseTo((100 * 576) / 732, 0)
  })

  it('claims nothing of a batch that nobody counted', () => {
    expect(diagnose(aBatch({ counted: null })).verdict).toBe('not-counted')
  })

  it('calls missing what a probe did not tell, and nothing where there was none', () => {
    const silent = aBatch({ readings: { water: [] } })
    expect(looked(diagnose(silent)).map(({ kind }) => kind)).toContain(CauseKind.readingsMissing)
    const unwatched = diagnose({ ...silent, watched: false })
    expect(looked(unwatched).map(({ kind }) => kind)).not.toContain(CauseKind.readingsMissing)
    expect(unwatched.blindSpots.join(' ')).toContain('The water was not measured')
  })

  it('keeps the cautious limit of the trade apart from published ones', () => {
    const warm = diagnose(aBatch({ readings: { water: series(23, between(12, 18, 31, 27)) } }))
    const hot = diagnose(
      aBatch({
        readings: { water: series(23, between(12, 18, 38, 27)) },
        counted: { nauplii: 60, umbrella: 3, embryos: 500 },
      }),
    )
    // Between 29.4 and 33 °C no source has anything die.
    expect(named(warm)).not.toContain(CauseKind.tooHot)
    expect(looked(warm).find(({ kind }) => kind === CauseKind.tooHot)?.evidence ?? []).toHaveLength(
      looked(warm).some(({ kind }) => kind === CauseKind.tooHot) ? 1 : 0,
    )
    expect(named(hot)[0]).toBe(CauseKind.tooHot)
    const [trade, published] = hot.causes[0]!.evidence
    expect(trade).toMatchObject({ limit: 29.4, unit: '°C' })
    expect(trade!.source).toContain('no source')
    expect(published!.source).toContain('FAO Fisheries Technical Paper 428')
    expect(published!.value).toBeCloseTo(6, 0)
  })

  it.each<[string, CauseKind, Parameters<typeof aBatch>[0]]>([
    [
      'cool water',
      CauseKind.tooCool,
      {
        hours: 36,
        readings: { water: series(36, still(21)) },
        counted: { nauplii: 576, umbrella: 6, embryos: 150 },
      },
    ],
    [
      'air that stopped after the hatch',
      CauseKind.airLost,
      {
        readings: { air: series(23, (atH: number) => (atH >= 19 && atH < 22 ? 0 : 0.5)) },
        counted: { nauplii: 20, umbrella: 3, embryos: 150 },
      },
    ],
    [
      'darkness at first',
      CauseKind.dark,
      { readings: { light: series(23, () => 20) }, counted: { nauplii: 200, umbrella: 3, embryos: 500 } },
    ],
    [
      'too many cysts',
      CauseKind.tooDense,
      { batch: { cystsG: 14 }, counted: { nauplii: 1500, umbrella: 10, embryos: 2500 } },
    ],
    [
      'too much salt',
      CauseKind.salinityOff,
      { batch: { salinityGpl: 75 }, counted: { nauplii: 150, umbrella: 3, embryos: 560 } },
    ],
    [
      'salt as measured, not as written down',
      CauseKind.salinityOff,
      {
        written: { salinity: [{ atMs: START_MS, gpl: 70 }] },
        counted: { nauplii: 150, umbrella: 3, embryos: 560 },
      },
    ],
    [
      'sour water',
      CauseKind.phOff,
      {
        written: { pH: [{ atMs: START_MS, pH: 6.6 }] },
        counted: { nauplii: 150, umbrella: 3, embryos: 560 },
      },
    ],
    [
      'a harvest before most were out',
      CauseKind.harvestedEarly,
      { hours: 16, counted: { nauplii: 90, umbrella: 110, embryos: 540 } },
    ],
    [
      'a harvest long after',
      CauseKind.harvestedLate,
      { hours: 44, written: { firstSwimmersAtMs: START_MS + 14.5 * HOUR_MS } },
    ],
    ['a weak lot', CauseKind.weakLot, { counted: { nauplii: 120, umbrella: 1, embryos: 600 } }],
    [
      'a second probe that shows layers',
      CauseKind.stratified,
      {
        readings: {
          'upper-water': series(23, (atH, step) => (atH > 2 ? 29 : 27) + 0.0625 * (step % 3)),
        },
        counted: { nauplii: 60, umbrella: 110, embryos: 560 },
      },
    ],
    [
      'a thermometer that says otherwise',
      CauseKind.probeWrong,
      { written: { waterChecked: [{ atMs: START_MS + HOUR_MS, waterC: 25 }] } },
    ],
    [
      'a probe that was stuck',
      CauseKind.probeWrong,
      { readings: { water: series(23, (atH, step) => (atH > 6 && atH < 12 ? 27 : still(27)(atH, step))) } },
    ],
    [
      'a probe that fell out',
      CauseKind.probeOutOfWater,
      { readings: { water: series(23, between(6, 11, 22.1, 27)) } },
    ],
    [
      'hours of silence',
      CauseKind.readingsMissing,
      { readings: { water: series(23, (atH, step) => (atH > 6 && atH < 12 ? null : still(27)(atH, step))) } },
    ],
  ])('names %s first', (_what, kind, told) => {
    const diagnosis = diagnose(aBatch(told))
    expect(named(diagnosis)[0]).toBe(kind)
    expect(diagnosis.causes[0]!.words).toMatch(/\d/)
    expect(diagnosis.causes[0]!.change.length).toBeGreaterThan(20)
  })

  it('puts a harvest of a cool batch before its time to the keeper who had looked, and to the delay where nobody had', () => {
    const lookedIn = (written: object) =>
      aBatch({
        hours: 30,
        readings: { water: series(30, still(21)) },
        counted: { nauplii: 300, umbrella: 160, embryos: 270 },
        written,
      })
    const cool = named(diagnose(lookedIn({})))
    expect(cool).toEqual([CauseKind.tooCool])
    const seen = diagnose(lookedIn({ firstSwimmersAtMs: START_MS + 26 * HOUR_MS }))
    expect(named(seen).sort()).toEqual([CauseKind.harvestedEarly, CauseKind.tooCool].sort())
    expect(seen.causes.find(({ kind }) => kind === CauseKind.harvestedEarly)!.change).toMatch(/Wait/)
  })

  it('puts a failure in a gap of nine hours to no lot that nobody knows', () => {
    const gap = series(23, (atH, step) => (atH > 6 && atH < 16 ? null : still(27)(atH, step)))
    const dead = diagnose(
      aBatch({ counted: { nauplii: 30, umbrella: 1, embryos: 700 }, readings: { water: gap } }),
    )
    expect(named(dead)).toEqual([CauseKind.readingsMissing])
    expect(dead.ruledOut.map(({ kind }) => kind)).toContain(CauseKind.weakLot)
    // The same with all of it measured is the lot's.
    const shown = diagnose(aBatch({ counted: { nauplii: 30, umbrella: 1, embryos: 700 } }))
    expect(named(shown)).toEqual([CauseKind.weakLot])
  })

  it('suspects the lot or what is not measured where a good lot failed and nothing was off', () => {
    const input = aBatch({ counted: { nauplii: 60, umbrella: 1, embryos: 660 } })
    const belief = { ...input.lot.belief, hatchShare: 0.85, hatch: { p10: 0.8, p50: 0.85, p90: 0.89 } }
    const { causes, verdict, words } = diagnose({ ...input, lot: { belief, counted: 3 } })
    expect(causes).toEqual([])
    expect(verdict).toBe('unexplained')
    expect(words).toMatch(
      /hatched well before.*what is not measured \(pH, salt, a rinse of soap or bleach\) first/,
    )
    // Seen once it may have been a lucky count, and the lot is the likeliest.
    expect(named(diagnose({ ...input, lot: { belief, counted: 1 } }))).toEqual([CauseKind.weakLot])
  })

  it.each([
    ['a lot that nobody knows', {}],
    ['a lot that hatched well', { hatchShare: 0.85, hatch: { p10: 0.8, p50: 0.85, p90: 0.89 } }],
  ])('puts a dead batch that was measured for an hour alone to no lot: %s', (_, hatch) => {
    const dead = { nauplii: 0, umbrella: 0, embryos: 560 }
    const { lot, ...input } = aBatch({ counted: dead, readings: { water: series(1, still(27)) } })
    const given = diagnose({ ...input, lot: { ...lot, belief: { ...lot.belief, ...hatch } } })
    expect(named(given)).toEqual([CauseKind.readingsMissing])
    // More than half of what any good lot gives, and beyond doubt.
    expect(given.balance.unexplained!.p50).toBeLessThan(-40)
    expect(given.balance.unexplained!.p90).toBeLessThan(-5)
    expect(given.ruledOut.map(({ kind }) => kind)).toContain(CauseKind.weakLot)
    // Where no probe hung in it at all, nothing is missing that was to be there.
    const unwatched = diagnose({ ...input, lot, readings: {}, watched: false })
    expect(unwatched.verdict).toBe('unexplained')
    expect(unwatched.words).toMatch(
      /suspect the lot or what is not measured \(the water’s warmth, air, light, pH/,
    )
  })

  it('still names a lot that was weak before, though hours are missing', () => {
    const { lot, ...input } = aBatch({
      counted: { nauplii: 120, umbrella: 1, embryos: 600 },
      readings: { water: series(23, (atH, step) => (atH > 6 && atH < 12 ? null : still(27)(atH, step))) },
    })
    const belief = { ...lot.belief, hatchShare: 0.2, hatch: { p10: 0.15, p50: 0.2, p90: 0.27 } }
    expect(named(diagnose({ ...input, lot: { belief, counted: 3 } }))).toContain(CauseKind.weakLot)
  })

  it('gives the same for the same, and gives costs that add up', () => {
    const input = aBatch({
      batch: { cystsG: 11, salinityGpl: 60 },
      counted: { nauplii: 500, umbrella: 5, embryos: 3000 },
    })
    const first = diagnose(input)
    expect(diagnose(input)).toEqual(first)
    const taken = first.causes.reduce((sum, { cost }) => sum + cost.hatchPoints.p50, 0)
    const { without, expected } = first.balance
    // Middles of sums are not sums of middles, but they are near.
    expect(Math.abs(without.p50 - expected.p50 - taken)).toBeLessThan(12)
  })

  it('is not stopped by anything that a record may hold', () => {
    const quality = fc.constantFrom(...Object.values(Quality))
    const sample = fc.record({
      atMs: fc.integer({ min: -14, max: 40 }).map(hours => START_MS + hours * HOUR_MS),
      value: fc.option(fc.double({ min: -200, max: 200, noNaN: true }), { nil: null }),
      quality,
    })
    const samples = fc.array(sample, { maxLength: 60 }).map(some => some.sort((a, b) => a.atMs - b.atMs))
    const counts = fc.nat({ max: 2000 })
    fc.assert(
      fc.property(
        fc.record({ water: samples, room: samples, air: samples, light: samples }),
        fc.record({ nauplii: counts, umbrella: counts, embryos: counts }),
        fc.double({ min: 0, max: 120, noNaN: true }),
        (readings, counted, salinityGpl) => {
          const { causes, ruledOut, balance } = diagnose(
            aBatch({ readings, counted, batch: { salinityGpl } }),
          )
          for (const { probability, cost } of [...causes, ...ruledOut]) {
            expect(probability).toBeGreaterThanOrEqual(0)
            expect(probability).toBeLessThanOrEqual(1)
            for (const band of Object.values(cost)) {
              expect(Number.isFinite(band.p50)).toBe(true)
              expect(band.p10).toBeLessThanOrEqual(band.p50)
              expect(band.p50).toBeLessThanOrEqual(band.p90)
            }
          }
          expect(Number.isFinite(balance.without.p50)).toBe(true)
        },
      ),
      { numRuns: 15 },
    )
  }, 120_000)
})
