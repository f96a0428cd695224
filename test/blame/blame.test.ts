// A share of `npm run blame`: every bar is judged by what a smaller number of batches can say about it.
import { beforeAll, describe, expect, it } from 'vitest'
import { binomialLimits } from '../skill/binomial.ts'
import type { Fault } from './faults.ts'
import { isRight } from './figures.ts'
import { type Blamed, blame } from './season.ts'

/** Chance of failing a test by bad luck alone, for each bar. */
const BAD_LUCK = 0.002
const SINGLE: readonly Fault[] = [
  'too-hot',
  'too-cool',
  'air-lost',
  'dark-at-first',
  'too-dense',
  'salinity-off',
  'ph-off',
  'harvested-early',
  'weak-lot',
  'stratified',
  'probe-wrong',
  'probe-out-of-water',
  'readings-missing',
]
const PAIRS: readonly (readonly [Fault, Fault])[] = [
  ['too-hot', 'too-dense'],
  ['air-lost', 'salinity-off'],
  ['too-cool', 'probe-out-of-water'],
  ['ph-off', 'weak-lot'],
]

/** The truest rate that what was seen leaves possible. */
const atBest = (of: readonly Blamed[]) => binomialLimits(of.filter(isRight).length, of.length, BAD_LUCK)[1]

describe('batches that were spoilt on purpose', () => {
  let single: Blamed[] = []
  let pairs: Blamed[] = []
  let well: Blamed[] = []
  beforeAll(() => {
    single = SINGLE.map((fault, at) => blame(9000 + at, [fault], 2)).filter(one => one.matters)
    pairs = PAIRS.map((pair, at) => blame(9100 + at, pair, 2)).filter(one => one.matters)
    well = Array.from({ length: 8 }, (_, at) => blame(9200 + at, [], 0))
  }, 300_000)

  it('have their cause named first', () => {
    expect(single.length).toBeGreaterThan(9)
    expect(atBest(single)).toBeGreaterThan(0.95)
    expect(single.filter(isRight).length / single.length).toBeGreaterThan(0.7)
  })

  it('have both of two causes named', () => {
    expect(pairs.length).toBeGreaterThan(2)
    expect(atBest(pairs)).toBeGreaterThan(0.85)
    expect(pairs.filter(isRight).length).toBeGreaterThan(0)
  })

  it('are blamed for nothing when nothing was done to them', () => {
    expect(atBest(well)).toBeGreaterThan(0.98)
    expect(well.filter(isRight).length / well.length).toBeGreaterThan(0.6)
  })

  it('are the same again for the same seed', () => {
    const [first] = single
    const again = blame(first!.seed, first!.faults, first!.strength)
    expect({ ...again, tookMs: 0 }).toEqual({ ...first, tookMs: 0 })
  })
})
