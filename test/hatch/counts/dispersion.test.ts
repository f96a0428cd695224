import { describe, expect, it } from 'vitest'
import { dispersionOf, indexToUse } from '../../../broker/hatch/counts/dispersion.ts'
import { poissonInterval } from '../../../broker/hatch/counts/interval.ts'
import { moreSamples, totalLimits } from '../../../broker/hatch/counts/precision.ts'
import type { Pool } from '../../../broker/hatch/counts/samples.ts'
import { Chance } from './chance.ts'

const pool = (...parts: readonly (readonly [count: number, ml: number])[]): Pool => ({
  count: parts.reduce((sum, [count]) => sum + count, 0),
  ml: parts.reduce((sum, [, ml]) => sum + ml, 0),
  parts: parts.map(([count, ml]) => ({ count, ml })),
})

describe('the dispersion of samples', () => {
  it('is none when all are as expected for their water', () => {
    expect(dispersionOf(pool([50, 1], [100, 2], [25, 0.5]))).toEqual({
      index: 0,
      freedom: 2,
      p: 1,
      verdict: 'mixed',
    })
  })

  it('is reckoned with only where it makes limits wider', () => {
    expect(indexToUse(dispersionOf(pool([50, 1], [51, 1])))).toBe(1)
    expect(indexToUse(dispersionOf(pool([50, 1])))).toBe(1)
    // 40² / 60 twice, with one degree.
    expect(indexToUse(dispersionOf(pool([20, 1], [100, 1])))).toBeCloseTo(1600 / 30, 9)
  })

  it('is not told of too little', () => {
    expect(dispersionOf(pool([4, 1], [5, 1])).verdict).toBe('too-few')
    expect(dispersionOf(pool([5, 1], [5, 1])).verdict).toBe('mixed')
    // A trace of water in which less than one is expected.
    expect(dispersionOf(pool([100, 1], [3, 0.005])).verdict).toBe('too-few')
  })
})

/** Shares of simulated vessels whose truth lies within the limits, and of those called mixed. */
function simulate(samples: number, mean: number, unevenness: number, seed: number) {
  const chance = new Chance(seed)
  const runs = 1000
  const sigma = Math.sqrt(Math.log(1 + unevenness ** 2))
  let held = 0
  let heldAsPoisson = 0
  let mixed = 0
  for (let run = 0; run < runs; run++) {
    const taken = pool(
      ...Array.from({ length: samples }, () => {
        const here = mean * Math.exp(sigma * chance.normal() - sigma ** 2 / 2)
        return [chance.poisson(here), 1] as const
      }),
    )
    const dispersion = dispersionOf(taken)
    const truth = samples * mean
    const within = ({ low, high }: { low: number; high: number }) => low <= truth && truth <= high
    if (within(totalLimits(taken.count, dispersion, 0.95))) held++
    if (within(poissonInterval(taken.count))) heldAsPoisson++
    if (dispersion.verdict === 'mixed') mixed++
  }
  return { held: held / runs, heldAsPoisson: heldAsPoisson / runs, mixed: mixed / runs }
}

describe('limits from simulated vessels', () => {
  it.each([2, 6])('hold the truth 95 % of the time when it is mixed, from %i samples', samples => {
    const { held, mixed } = simulate(samples, 60, 0, 7)
    // Three standard errors of 1000 runs are 2 %.
    expect(held).toBeGreaterThan(0.93)
    expect(mixed).toBeGreaterThan(0.93)
    expect(mixed).toBeLessThan(0.97)
  })

  it('hold it nearly as often when it is not, where Poisson limits alone would not', () => {
    const { held, heldAsPoisson, mixed } = simulate(6, 100, 0.3, 8)
    expect(held).toBeGreaterThan(0.9)
    expect(heldAsPoisson).toBeLessThan(0.6)
    expect(mixed).toBeLessThan(0.15)
  })
})

describe('more samples', () => {
  it.each([0, -1, 0.001, 1.5, NaN, Infinity])('are refused for a precision of %f', wanted => {
    const taken = pool([50, 1], [51, 1])
    expect(() => moreSamples(taken.count, 2, dispersionOf(taken), wanted, 0.95)).toThrow(
      `Cannot say how many more samples: wantedPrecision must be from 0.01 to 1, got ${wanted}`,
    )
  })
})
