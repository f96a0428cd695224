// Checks of the counting statistics against published values and an independent library. Each names its source.
import jstat from 'jstat'
import { describe, expect, it } from 'vitest'
import { dispersionOf } from '../../broker/hatch/counts/dispersion.ts'
import { estimateCount } from '../../broker/hatch/counts/estimate.ts'
import {
  hatchingEfficiency,
  hatchingOutput,
  NAUPLIUS_DRY_UG,
} from '../../broker/hatch/counts/hatching-quality.ts'
import { binomialInterval, poissonInterval, quasiPoissonLimits } from '../../broker/hatch/counts/interval.ts'

const { jStat } = jstat

describe('limits of a count, Garwood 1936', () => {
  // Biometrika 28:437, 95 %; k = 100 reckoned from the same formula; 0, 1 and 10 as in common tables (from memory).
  it.each([
    [25, 16.18, 36.9],
    [100, 81.36, 121.63],
    [0, 0, 3.69],
    [1, 0.0253, 5.57],
    [10, 4.795, 18.39],
  ])('%i', (count, low, high) => {
    const limits = poissonInterval(count)
    expect(limits.low).toBeCloseTo(low, 2)
    expect(limits.high).toBeCloseTo(high, 2)
  })

  it('as jstat has them', () => {
    for (const confidence of [0.8, 0.95, 0.99]) {
      const tail = (1 - confidence) / 2
      for (const count of [1, 2, 3, 7, 25, 60, 100, 400]) {
        const { low, high } = poissonInterval(count, confidence)
        expect(low / (jStat.chisquare.inv(tail, 2 * count) / 2)).toBeCloseTo(1, 6)
        expect(high / (jStat.chisquare.inv(1 - tail, 2 * count + 2) / 2)).toBeCloseTo(1, 6)
      }
    }
  })

  it('are where the tails of the Poisson distribution are, for which they are made', () => {
    for (const count of [1, 5, 40, 120]) {
      const { low, high } = poissonInterval(count)
      expect(1 - jStat.poisson.cdf(count - 1, low)).toBeCloseTo(0.025, 8)
      expect(jStat.poisson.cdf(count, high)).toBeCloseTo(0.025, 8)
    }
  })

  it('as jstat has them where a normal approximation takes over', () => {
    for (const count of [499, 500, 501, 1000, 1500, 3030, 20_000]) {
      const { low, high } = poissonInterval(count)
      expect(Math.abs(low / (jStat.chisquare.inv(0.025, 2 * count) / 2) - 1)).toBeLessThan(1e-5)
      expect(Math.abs(high / (jStat.chisquare.inv(0.975, 2 * count + 2) / 2) - 1)).toBeLessThan(1e-5)
    }
  })

  it('come near the normal ones for a great count', () => {
    // k ± 1.96 √k, to the first order.
    const { low, high } = poissonInterval(100_000_000)
    expect(low).toBeCloseTo(100_000_000 - 19_600, -2)
    expect(high).toBeCloseTo(100_000_000 + 19_600, -2)
  })
})

describe('limits of a share, Clopper & Pearson 1934', () => {
  // 95 %, as in common tables (from memory): 0 of 10, 1 of 10, 8 of 10, 5 of 20.
  it.each([
    [0, 10, 0, 0.3085],
    [1, 10, 0.0025, 0.445],
    [8, 10, 0.4439, 0.9748],
    [5, 20, 0.0866, 0.491],
  ])('%i of %i', (successes, trials, low, high) => {
    const limits = binomialInterval(successes, trials)
    expect(limits.low).toBeCloseTo(low, 3)
    expect(limits.high).toBeCloseTo(high, 3)
  })

  it('by the rule of three: none in 300 is at most 1 - 0.025^(1/300)', () => {
    expect(binomialInterval(0, 300).high).toBeCloseTo(1 - 0.025 ** (1 / 300), 12)
    expect(binomialInterval(300, 300).low).toBeCloseTo(0.025 ** (1 / 300), 12)
  })

  it('as jstat has them', () => {
    for (const trials of [2, 10, 60, 500]) {
      for (let successes = 1; successes < trials; successes += Math.ceil(trials / 9)) {
        const { low, high } = binomialInterval(successes, trials)
        expect(low).toBeCloseTo(jStat.beta.inv(0.025, successes, trials - successes + 1), 8)
        expect(high).toBeCloseTo(jStat.beta.inv(0.975, successes + 1, trials - successes), 8)
        expect(1 - jStat.binomial.cdf(successes - 1, trials, low)).toBeCloseTo(0.025, 7)
        expect(jStat.binomial.cdf(successes, trials, high)).toBeCloseTo(0.025, 7)
      }
    }
  })
})

describe('the library behind the limits of a share', () => {
  it('holds for great counts, by symmetry and against the normal distribution', () => {
    for (const half of [1e4, 1e6, 1e8, 5e8]) {
      const { low, high } = binomialInterval(half, 2 * half)
      expect(low + high).toBeCloseTo(1, 9)
      // 1.96 standard deviations of a share of one half: 1.96 × 0.5 / √n.
      expect((high - low) / (2 * ((1.959964 * 0.5) / Math.sqrt(2 * half)))).toBeCloseTo(1, 2)
    }
  })
})

describe('coverage, counted out over all that can happen', () => {
  it('of the Poisson limits is never below 95 %', () => {
    for (let mean = 0.05; mean < 100; mean *= 1.17) {
      let held = 0
      for (let count = 0; count < mean + 12 * Math.sqrt(mean) + 20; count++) {
        const { low, high } = poissonInterval(count)
        if (low <= mean && mean <= high) held += jStat.poisson.pdf(count, mean)
      }
      expect(held).toBeGreaterThanOrEqual(0.95)
      expect(held).toBeLessThanOrEqual(1 + 1e-9)
    }
  })

  it('of the binomial limits is never below 95 %', () => {
    for (const trials of [5, 40]) {
      for (let share = 0.01; share < 1; share += 0.049) {
        let held = 0
        for (let successes = 0; successes <= trials; successes++) {
          const { low, high } = binomialInterval(successes, trials)
          if (low <= share && share <= high) held += jStat.binomial.pdf(successes, trials, share)
        }
        expect(held).toBeGreaterThanOrEqual(0.95)
      }
    }
  })
})

describe('the dispersion test', () => {
  // Upper 5 % points of chi-square, common tables: 3.841 for 1 degree, 5.991 for 2, 11.070 for 5, 16.919 for 9.
  it.each([
    [1, 3.841],
    [2, 5.991],
    [5, 11.07],
    [9, 16.919],
  ])('with %i degrees of freedom', (freedom, point) => {
    // Counts of 10,000 on average, one above and one below by as much as makes X² that point.
    const off = Math.sqrt((point * 10_000) / 2)
    const counts = [10_000 + off, 10_000 - off, ...Array.from({ length: freedom - 1 }, () => 10_000)]
    const parts = counts.map(count => ({ count, ml: 1 }))
    const tested = dispersionOf({ count: 10_000 * (freedom + 1), ml: freedom + 1, parts })
    expect(tested.freedom).toBe(freedom)
    expect(tested.index! * freedom).toBeCloseTo(point, 9)
    expect(tested.p).toBeCloseTo(0.05, 4)
    expect(tested.p).toBeCloseTo(1 - jStat.chisquare.cdf(point, freedom), 9)
  })

  it('widens by Student’s t, as jstat has it', () => {
    for (const freedom of [1, 2, 5, 30]) {
      const stretch = jStat.studentt.inv(0.975, freedom) / 1.959963984540054
      const { high } = quasiPoissonLimits(400, 4, freedom)
      expect(high).toBeCloseTo(400 + stretch * (4 * poissonInterval(100).high - 400), 3)
    }
  })
})

describe('hatching quality', () => {
  it('of the worksheet of FAO Fisheries Technical Paper 361', () => {
    // From memory: 1.6 g in 80 ml, six samples of 250 µl with N = 1010 on average, so HE = N × 200 = 202,000. With U = 30 and E = 160 on
    // average H% = 100 × 1010 / 1200 = 84.17.
    const estimate = estimateCount({
      litres: 0.08,
      cystsG: 1.6,
      samples: [1000, 1040, 980, 1010, 990, 1040].map(nauplii => ({
        sampleMl: 0.25,
        nauplii,
        umbrella: 30,
        embryos: 160,
      })),
    })
    expect(estimate.naupliiPerG.best).toBeCloseTo(202_000, 6)
    expect(estimate.hatchPercentage!.best).toBeCloseTo(84.17, 2)
    expect(estimate.nauplii.best).toBeCloseTo(202_000 * 1.6, 6)
    expect(estimate.dispersion.verdict).toBe('mixed')
  })

  it('of the same worksheet comes out alike where the same nauplii were drawn off closer together', () => {
    // All 323,200 of the 80 ml sieved into 20 ml: a sample of 250 µl holds four times as many.
    const estimate = estimateCount({
      litres: 0.08,
      drawnOffMl: 20,
      cystsG: 1.6,
      samples: [4000, 4160, 3920, 4040, 3960, 4160].map(nauplii => ({ sampleMl: 0.25, nauplii })),
    })
    expect(estimate.naupliiPerG.best).toBeCloseTo(202_000, 6)
  })

  it('agrees with itself: nauplii of a gram are its cysts times the share that hatched', () => {
    // The worksheet's means once more (from memory): 1200 cysts in each sample are HE / H% = 240,000 a gram, by the same factor of 200.
    const { naupliiPerG, hatchPercentage, words } = estimateCount({
      litres: 0.08,
      cystsG: 1.6,
      samples: [1000, 1040, 980, 1010, 990, 1040].map(nauplii => ({
        sampleMl: 0.25,
        nauplii,
        umbrella: 30,
        embryos: 160,
      })),
    })
    expect(naupliiPerG.best / (hatchPercentage!.best / 100)).toBeCloseTo(240_000, 6)
    expect(words).not.toMatch(/go together/)
  })

  it('output, against one published', () => {
    // Eslava-Eljaiek, Wedler & Serna-Macias 2011 publish 300 mg/g for one population. Asem 2013: HE × dry weight of an instar I; a
    // good product of 200,000 a gram (Treece 2000, SRAC Publication 702) at 1.63 µg each (San Francisco Bay) makes 326.
    const he = hatchingEfficiency({ low: 180_000, best: 200_000, high: 220_000 }, 1)
    expect(hatchingOutput(he, NAUPLIUS_DRY_UG.sanFranciscoBay).best).toBeCloseTo(326, 6)
  })
})
