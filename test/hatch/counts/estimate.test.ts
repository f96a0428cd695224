import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { CountError } from '../../../broker/hatch/counts/errors.ts'
import type { CountInput } from '../../../broker/hatch/counts/estimate.ts'
import { estimateCount } from '../../../broker/hatch/counts/estimate.ts'
import {
  hatchingEfficiency,
  hatchingOutput,
  hatchingPercentage,
} from '../../../broker/hatch/counts/hatching-quality.ts'
import { poissonInterval } from '../../../broker/hatch/counts/interval.ts'
import type { CountSample } from '../../../broker/hatch/counts/samples.ts'

const vessel = (samples: readonly CountSample[], more: Partial<CountInput> = {}): CountInput => ({
  litres: 1,
  cystsG: 2,
  samples,
  ...more,
})
const sample = fc.record({
  sampleMl: fc.double({ min: 0.05, max: 5, noNaN: true }),
  dilution: fc.double({ min: 1, max: 100, noNaN: true }),
  nauplii: fc.integer({ min: 0, max: 2000 }),
})

describe('an estimate from counts', () => {
  it('pools volumes and dilutions: all counted over all water', () => {
    const { nauplii, perMl, counted, naupliiPerG } = estimateCount(
      vessel([
        { sampleMl: 1, nauplii: 100 },
        { sampleMl: 5, dilution: 10, nauplii: 52 },
      ]),
    )
    expect(counted).toBe(152)
    expect(perMl.best).toBeCloseTo(152 / 1.5, 9)
    expect(nauplii.best).toBeCloseTo((152 / 1.5) * 1000, 6)
    expect(naupliiPerG.best).toBeCloseTo(nauplii.best / 2, 6)
    const exact = poissonInterval(152)
    expect(nauplii.low).toBeCloseTo((exact.low / 1.5) * 1000, 6)
    expect(nauplii.high).toBeCloseTo((exact.high / 1.5) * 1000, 6)
  })

  it('multiplies by what was drawn off, where that is what was sampled', () => {
    // 2 l drawn off as 250 ml: 200 in a millilitre are 50,000, not 400,000.
    const input = { ...vessel([{ sampleMl: 1, nauplii: 200 }], { litres: 2 }), drawnOffMl: 250 }
    const { nauplii, perMl, naupliiPerG } = estimateCount(input)
    expect(perMl.best).toBe(200)
    expect(nauplii.best).toBeCloseTo(50_000, 6)
    expect(naupliiPerG.best).toBeCloseTo(25_000, 6)
    expect(() => estimateCount({ ...input, drawnOffMl: 0.5 })).toThrow(/drawn off, 0.5 mL, got 1 mL/)
    for (const drawnOffMl of [0, -1, NaN, Infinity]) {
      expect(() => estimateCount({ ...input, drawnOffMl })).toThrow(CountError)
    }
  })

  it('gives no share of what was drawn off: it was parted from what did not hatch', () => {
    const samples = [{ sampleMl: 1, nauplii: 69, umbrella: 1, embryos: 30 }]
    expect(estimateCount(vessel(samples)).hatchPercentage!.best).toBeCloseTo(69, 9)
    expect(estimateCount(vessel(samples, { drawnOffMl: 250 })).hatchPercentage).toBeNull()
  })

  it('says so where the share that hatched and the nauplii of a gram cannot both be so', () => {
    // 69 % and 21,800 from a gram would be a gram of 31,600 cysts; a counted product held 252,678.
    const share = { embryos: 98 }
    const few = estimateCount(vessel([{ sampleMl: 5, nauplii: 218, ...share }]))
    expect(few.naupliiPerG.best).toBeCloseTo(21_800, 6)
    expect(few.words).toMatch(
      /69 % hatched .* a gram would hold 32,000 cysts, and it holds more than 125,000/,
    )
    // The same as drawn off, from a vessel of 10 l into a litre.
    const many = estimateCount(vessel([{ sampleMl: 0.1, nauplii: 218, ...share }]))
    expect(many.words).toMatch(/less than 550,000/)
    // 345 of 500 in a millilitre of 2 g/l are what a good product gives.
    const well = estimateCount(vessel([{ sampleMl: 1, nauplii: 345, embryos: 155 }]))
    expect(well.words).not.toMatch(/hatched/)
  })

  it('does not depend on the order of samples, and has its limits around its best', () => {
    fc.assert(
      fc.property(fc.array(sample, { minLength: 1, maxLength: 12 }), samples => {
        const estimate = estimateCount(vessel(samples))
        expect(estimate.nauplii.low).toBeLessThanOrEqual(estimate.nauplii.best)
        expect(estimate.nauplii.best).toBeLessThan(estimate.nauplii.high)
        const reversed = estimateCount(vessel([...samples].reverse()))
        expect(reversed.nauplii.high / estimate.nauplii.high).toBeCloseTo(1, 9)
        expect(reversed.dispersion.verdict).toBe(estimate.dispersion.verdict)
        expect(estimate.words).not.toMatch(/NaN|undefined|null|Infinity/)
      }),
    )
  })

  it('sees samples that differ as those of a mixed vessel do not, and widens', () => {
    const even = estimateCount(vessel([48, 52, 45].map(nauplii => ({ sampleMl: 1, nauplii }))))
    const odd = estimateCount(vessel([20, 45, 80].map(nauplii => ({ sampleMl: 1, nauplii }))))
    expect(even.dispersion).toMatchObject({ verdict: 'mixed', freedom: 2 })
    // Σ (n - 145/3)² / (145/3) = 1816.67 / 48.33 = 37.59, over 2 degrees.
    expect(odd.dispersion.index).toBeCloseTo(37.586 / 2, 3)
    expect(odd.dispersion.verdict).toBe('unmixed')
    expect(odd.nauplii.best).toBe(even.nauplii.best)
    expect(odd.nauplii.high - odd.nauplii.low).toBeGreaterThan(4 * (even.nauplii.high - even.nauplii.low))
    expect(odd.words).toContain('mix it well and count again')
    const somewhat = estimateCount(vessel([38, 62].map(nauplii => ({ sampleMl: 1, nauplii }))))
    // 12² / 50 twice is 5.76 with 1 degree: p = 0.016.
    expect(somewhat.dispersion.verdict).toBe('doubtful')
    expect(somewhat.words).toContain('mix the vessel before the next')
    // What was drawn off is in a jug of its own by then.
    const jug = (counts: number[]) =>
      estimateCount({ ...vessel(counts.map(nauplii => ({ sampleMl: 1, nauplii }))), drawnOffMl: 250 }).words
    expect(jug([38, 62])).toContain('stir what was drawn off before the next')
    expect(jug([38])).toContain('whether what was drawn off was stirred')
    for (const words of [jug([38, 62]), jug([38]), jug([20, 45, 80])]) expect(words).not.toContain('vessel')
  })

  it('does not take another volume or dilution for another density', () => {
    const { dispersion } = estimateCount(
      vessel([
        { sampleMl: 1, nauplii: 100 },
        { sampleMl: 2, nauplii: 203 },
        { sampleMl: 10, dilution: 20, nauplii: 49 },
      ]),
    )
    expect(dispersion.verdict).toBe('mixed')
  })

  it('cannot tell mixing from one sample, or from next to nothing counted', () => {
    for (const counts of [[100], [2, 3, 1], [0, 0]]) {
      const { dispersion } = estimateCount(vessel(counts.map(nauplii => ({ sampleMl: 1, nauplii }))))
      expect(dispersion).toMatchObject({ index: null, p: null, verdict: 'too-few' })
    }
  })

  it('takes in how far off the volumes may be', () => {
    const samples = [{ sampleMl: 1, nauplii: 400 }]
    const [sure, unsure] = [
      estimateCount(vessel(samples)),
      estimateCount(vessel(samples, { sampleErrorShare: 0.25 })),
    ]
    expect(unsure.nauplii.best).toBe(sure.nauplii.best)
    expect(unsure.nauplii.high).toBeGreaterThan(1.25 * 400_000)
    expect(unsure.nauplii.low).toBeLessThan(400_000 / 1.25)
  })
})

it('bears as much as may be counted at all', () => {
  const most = { sampleMl: 1000, nauplii: 1_000_000, umbrella: 1_000_000, embryos: 1_000_000 }
  const { nauplii, hatchPercentage, words } = estimateCount(
    vessel(
      Array.from({ length: 100 }, () => most),
      { litres: 100 },
    ),
  )
  expect(nauplii.best).toBeCloseTo(100_000_000, 3)
  expect(hatchPercentage!.best).toBeCloseTo(100 / 3, 9)
  expect(words).toMatch(/^99,000,000-101,000,000 nauplii; enough was counted for ±10 %\./)
})

describe('how many more samples', () => {
  it('are as many as it then takes, and one fewer is not enough', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 8 }), fc.integer({ min: 12, max: 90 }), (taken, each) => {
        const of = (n: number) =>
          estimateCount(vessel(Array.from({ length: n }, () => ({ sampleMl: 0.1, nauplii: each }))))
        const { n } = of(taken).moreSamples
        const halfWidth = (total: number) => {
          const { best, high } = of(total).nauplii
          return (high - best) / best
        }
        expect(halfWidth(taken + n!)).toBeLessThanOrEqual(0.1)
        if (n! > 0) expect(halfWidth(taken + n! - 1)).toBeGreaterThan(0.1)
      }),
      { numRuns: 40 },
    )
  })

  it('come to about 400 counted for ±10 %, by √k: (1.96 / 0.1)² = 384', () => {
    const { moreSamples } = estimateCount(vessel([{ sampleMl: 0.1, nauplii: 1 }], { litres: 100 }))
    expect(moreSamples.n! + 1).toBeGreaterThan(384)
    expect(moreSamples.n! + 1).toBeLessThan(430)
  })

  it('are more where the samples differ, and none can be told of nothing', () => {
    const odd = estimateCount(vessel([20, 45, 80].map(nauplii => ({ sampleMl: 1, nauplii }))))
    const even = estimateCount(vessel([48, 52, 45].map(nauplii => ({ sampleMl: 1, nauplii }))))
    expect(odd.moreSamples.n).toBeGreaterThan(10 * even.moreSamples.n!)
    expect(estimateCount(vessel([{ sampleMl: 1, nauplii: 0 }])).moreSamples.n).toBeNull()
    const fine = estimateCount(vessel([{ sampleMl: 1, nauplii: 5 }], { wantedPrecision: 0.01 }))
    expect(fine.moreSamples).toEqual({ n: null, forPrecision: 0.01 })
  })
})

describe('the words', () => {
  const words = (counts: readonly number[], more: Partial<CountInput> = {}) =>
    estimateCount(
      vessel(
        counts.map(nauplii => ({ sampleMl: 1, nauplii })),
        more,
      ),
    ).words

  it.each([
    [[100, 110, 115], {}, '96,000-121,000 nauplii; one more sample for ±10 %.'],
    [[300, 310], {}, '281,000-331,000 nauplii; enough was counted for ±10 %.'],
    [[100, 110, 115], { wantedPrecision: 0.05 }, '96,000-121,000 nauplii; twelve more samples for ±5 %.'],
    [[30, 33], {}, '24,200-40,400 nauplii; twelve more samples for ±10 %.'],
    [[10, 11], {}, '6,400-16,100 nauplii; count more and larger samples for ±10 %.'],
    [
      [100],
      {},
      '81,000-122,000 nauplii; four more samples for ±10 %. One sample alone cannot show whether the vessel was mixed.',
    ],
    [
      [100, 400],
      {},
      'Some 250,000 nauplii, but the limits are too wide to be of use. The samples differ far more than those of a mixed vessel: mix it well and count again.',
    ],
    [
      [38, 62],
      {},
      'Some 50,000 nauplii, but the limits are too wide to be of use; count more and larger samples for ±10 %. ' +
        'The samples differ more than they should: mix the vessel before the next.',
    ],
    [[0, 0], {}, 'No nauplii seen, so at most 1,850; count more and larger samples for ±10 %.'],
  ] as const)('of %o', (counts, more, told) => {
    // Limits by Garwood 1936, rounded outwards to the third figure of the upper one.
    expect(words(counts, more)).toBe(told)
  })
})

describe('hatching percentage', () => {
  it('is of the samples in which the unhatched were counted', () => {
    const whole = { sampleMl: 1, nauplii: 80, umbrella: 5, embryos: 15 }
    expect(hatchingPercentage([whole])!.best).toBeCloseTo(80, 9)
    expect(hatchingPercentage([whole, { sampleMl: 1, nauplii: 300 }])!.best).toBeCloseTo(80, 9)
    expect(hatchingPercentage([{ sampleMl: 1, nauplii: 300, umbrella: 3 }])).toBeNull()
    expect(hatchingPercentage([{ sampleMl: 1, nauplii: 0, embryos: 0 }])).toBeNull()
    expect(hatchingPercentage([{ sampleMl: 1, nauplii: 40, embryos: 10 }])!.best).toBeCloseTo(80, 9)
  })
})

describe('what cannot be estimated from', () => {
  const good: CountSample = { sampleMl: 1, nauplii: 100 }
  it.each([
    [vessel([]), 'samples', 'samples must be 1 to 100, got 0'],
    [vessel(Array.from({ length: 101 }, () => ({ ...good, sampleMl: 0.1 }))), 'samples', 'got 101'],
    [
      vessel([good, { ...good, nauplii: 1.5 }]),
      'samples.1.nauplii',
      'a whole number from 0 to 1000000, got 1.5',
    ],
    [vessel([{ ...good, nauplii: 1_000_001 }]), 'samples.0.nauplii', 'got 1000001'],
    [vessel([{ ...good, embryos: -1 }]), 'samples.0.embryos', 'got -1'],
    [vessel([{ ...good, umbrella: NaN }]), 'samples.0.umbrella', 'got NaN'],
    [vessel([{ ...good, sampleMl: 0 }]), 'samples.0.sampleMl', 'from 0.001 to 1000, got 0'],
    [vessel([{ ...good, sampleMl: NaN }]), 'samples.0.sampleMl', 'got NaN'],
    [vessel([{ ...good, dilution: 0.5 }]), 'samples.0.dilution', 'from 1 to 10000, got 0.5'],
    [vessel([good], { litres: -1 }), 'litres', 'got -1'],
    [vessel([good], { cystsG: 0 }), 'cystsG', 'from 0.001 to 500, got 0'],
    [vessel([good], { wantedPrecision: 0 }), 'wantedPrecision', 'from 0.01 to 1, got 0'],
    [vessel([good], { sampleErrorShare: Infinity }), 'sampleErrorShare', 'from 0 to 1, got Infinity'],
    [
      vessel([{ ...good, sampleMl: 60 }], { litres: 0.05 }),
      'samples',
      "less water than the vessel's 50 mL, got 60 mL",
    ],
  ])('%#: %o', (input, field, because) => {
    let thrown: unknown
    try {
      estimateCount(input)
    } catch (error) {
      thrown = error
    }
    expect(thrown).toBeInstanceOf(CountError)
    expect((thrown as CountError).field).toBe(field)
    expect((thrown as CountError).message).toMatch(/^Cannot /)
    expect((thrown as CountError).message).toContain(because)
  })

  it.each([NaN, Infinity, -1, 0])('nor an efficiency or output from %f', bad => {
    const nauplii = { low: 1, best: 2, high: 3 }
    expect(() => hatchingEfficiency(nauplii, bad)).toThrow(
      'Cannot reckon hatching efficiency: cystsG must be',
    )
    expect(() => hatchingOutput(nauplii, bad)).toThrow(
      'Cannot reckon hatching output: dry weight of a nauplius',
    )
  })
})
