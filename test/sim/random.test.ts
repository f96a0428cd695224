import { describe, expect, it } from 'vitest'
import { seededRandom } from '../../sim/random.ts'

const draw = (n: number, next: () => number) => Array.from({ length: n }, next)
const mean = (values: number[]) => values.reduce((a, b) => a + b) / values.length

describe('seeded chance', () => {
  it('is even between 0 and 1', () => {
    const random = seededRandom(1)
    const counts = new Array<number>(20).fill(0)
    for (const value of draw(20_000, random.uniform)) {
      expect(value >= 0 && value < 1).toBe(true)
      counts[Math.floor(value * 20)]!++
    }
    // Chi-square with 19 degrees of freedom: 43.8 is passed once in a thousand (standard tables).
    expect(counts.reduce((sum, count) => sum + (count - 1000) ** 2 / 1000, 0)).toBeLessThan(43.8)
  })

  it('has a normal with mean 0 and deviation 1, and an exponential with mean 1', () => {
    const random = seededRandom(2)
    const normals = draw(20_000, random.normal)
    expect(Math.abs(mean(normals))).toBeLessThan(0.03)
    expect(Math.abs(mean(normals.map(z => z * z)) - 1)).toBeLessThan(0.04)
    // 5 % of a normal lie beyond ±1.96 (standard tables).
    expect(Math.abs(normals.filter(z => Math.abs(z) > 1.96).length / 20_000 - 0.05)).toBeLessThan(0.007)
    expect(Math.abs(mean(draw(20_000, random.exponential)) - 1)).toBeLessThan(0.03)
  })

  it('forks that do not depend on what was drawn before', () => {
    const one = seededRandom(5)
    const two = seededRandom(5)
    draw(10, two.uniform)
    expect(draw(5, one.fork('room').uniform)).toEqual(draw(5, two.fork('room').uniform))
    expect(draw(5, one.fork('room').uniform)).not.toEqual(draw(5, one.fork('lamp').uniform))
  })

  it('tells seeds apart, large ones and neighbours too', () => {
    const seeds = [0, 1, 2, -1, 2 ** 31, 2 ** 32, 2 ** 32 + 1, 1_790_000_000_000, 1_790_000_000_001]
    const firsts = seeds.map(seed => draw(4, seededRandom(seed).uniform).join())
    expect(new Set(firsts).size).toBe(seeds.length)
  })

  it('refuses a seed that is no number', () => {
    for (const seed of [NaN, Infinity]) expect(() => seededRandom(seed)).toThrow(/^Cannot seed chance/)
  })
})
