import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { halfWidth, levelY, outline, RIM_Y, TIP_Y } from '../../../dashboard/vessel/geometry.ts'

describe('the cone', () => {
  it('narrows towards its tip and has no width outside', () => {
    for (let y = RIM_Y; y < TIP_Y; y++) expect(halfWidth(y + 1) - halfWidth(y)).toBeLessThanOrEqual(1e-9)
    expect(halfWidth(RIM_Y - 1)).toBe(0)
    expect(halfWidth(TIP_Y + 1)).toBe(0)
  })
  it('is full at the rim and empty at the tip', () => {
    expect(levelY(1)).toBeCloseTo(RIM_Y, 0)
    expect(levelY(0)).toBeCloseTo(TIP_Y, 0)
    expect(levelY(7)).toBe(levelY(1))
    expect(levelY(-1)).toBe(levelY(0))
  })
  it('holds, below the level of a share, that share of its volume', () => {
    const below = (fromY: number) => {
      let sum = 0
      for (let y = fromY; y < TIP_Y; y += 0.05) sum += halfWidth(y) ** 2
      return sum
    }
    fc.assert(
      fc.property(fc.double({ min: 0.02, max: 0.98, noNaN: true }), share => {
        expect(below(levelY(share)) / below(RIM_Y)).toBeCloseTo(share, 2)
      }),
      { numRuns: 25 },
    )
  })
  it('is drawn as one closed line within the glass', () => {
    const path = outline(120, 3)
    expect(path).toMatch(/^M.*Z$/)
    const numbers = path.match(/-?\d+(\.\d+)?/g)?.map(Number) ?? []
    for (let index = 0; index < numbers.length; index += 2) {
      const x = numbers[index] as number
      const y = numbers[index + 1] as number
      expect(Math.abs(x - 100)).toBeLessThanOrEqual(Math.max(2, halfWidth(y) - 2.9))
      expect(y).toBeGreaterThanOrEqual(120)
      expect(y).toBeLessThanOrEqual(TIP_Y)
    }
  })
})
