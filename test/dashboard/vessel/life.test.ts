import { describe, expect, it } from 'vitest'
import { bubbleRate, Bubbles } from '../../../dashboard/vessel/bubbles.ts'
import { Cloud, cloudTopY, MOST_CYSTS, speckCounts, umbrellaCount } from '../../../dashboard/vessel/cloud.ts'
import { AXIS, halfWidth, levelY, TIP_Y } from '../../../dashboard/vessel/geometry.ts'

/** A small repeatable chance (mulberry32). */
function chanceOf(seed: number): () => number {
  let state = seed
  return () => {
    state = (state + 0x6d2b79f5) | 0
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state)
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296
  }
}
const surfaceY = levelY(0.7)
/** Adding the axis and taking it away again costs the last bit of a double. */
const ROUNDING = 1e-12

describe('bubbles', () => {
  it('come only while air flows, and more with more of it', () => {
    for (const none of [0, -1, NaN]) expect(bubbleRate(none)).toBe(0)
    expect(bubbleRate(0.2)).toBeLessThan(bubbleRate(0.6))
    expect(bubbleRate(1000)).toBeLessThan(30)
  })
  it('stay in the water, and are gone soon after the air is', () => {
    const bubbles = new Bubbles()
    const chance = chanceOf(7)
    for (let step = 0; step < 400; step++) {
      bubbles.step(1 / 30, 20, surfaceY, chance)
      for (const { x, y, radius } of bubbles.list) {
        expect(y).toBeGreaterThanOrEqual(surfaceY)
        expect(Math.abs(x - AXIS)).toBeLessThanOrEqual(halfWidth(y) - radius)
      }
    }
    expect(bubbles.list.length).toBeGreaterThan(20)
    for (let step = 0; step < 150; step++) bubbles.step(1 / 30, 0, surfaceY, chance)
    expect(bubbles.list).toEqual([])
  })
})

describe('cysts and nauplii', () => {
  it('change places as the batch hatches', () => {
    expect(speckCounts(0).nauplii).toBe(0)
    expect(speckCounts(0.01).nauplii).toBeGreaterThan(0)
    expect(speckCounts(1).nauplii).toBeGreaterThan(speckCounts(0.5).nauplii)
    expect(speckCounts(1).cysts).toBeLessThan(speckCounts(0).cysts)
    expect(speckCounts(9)).toEqual(speckCounts(1))
  })
  it('hang open as umbrellas only when many do, never more than there are cysts', () => {
    for (const few of [0, 0.02, NaN]) expect(umbrellaCount(few, MOST_CYSTS)).toBe(0)
    expect(umbrellaCount(0.2, MOST_CYSTS)).toBe(Math.round(MOST_CYSTS * 0.2))
    expect(umbrellaCount(0.9, 10)).toBe(10)
  })
  it('make a cloud that rises with the share, never above the surface', () => {
    let before = cloudTopY(0.01, surfaceY)
    expect(cloudTopY(0, surfaceY)).toBe(TIP_Y)
    for (let share = 0.05; share <= 1; share += 0.05) {
      const top = cloudTopY(share, surfaceY)
      expect(top).toBeLessThan(before)
      before = top
    }
    expect(before).toBeGreaterThan(surfaceY)
  })
  it('keep inside the glass and the water, stirred or not', () => {
    for (const stirred of [true, false]) {
      const cloud = new Cloud()
      const chance = chanceOf(11)
      for (let step = 0; step < 300; step++)
        cloud.step(1 / 30, { hatchedShare: 0.5, surfaceY, stirred }, chance)
      const top = cloudTopY(0.5, surfaceY)
      expect(cloud.nauplii).toHaveLength(speckCounts(0.5).nauplii)
      for (const { x, y } of [...cloud.nauplii, ...cloud.cysts]) {
        expect(Math.abs(x - AXIS)).toBeLessThanOrEqual(Math.max(1, halfWidth(y) - 5) + ROUNDING)
        expect(y).toBeGreaterThanOrEqual(surfaceY)
      }
      for (const { y } of cloud.nauplii) expect(y).toBeGreaterThanOrEqual(top)
    }
  })
})
