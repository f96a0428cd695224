import { describe, expect, it } from 'vitest'
import { pHShare } from '../../sim/biology/lot.ts'
import { PLAIN, type Scenario } from '../../sim/scenario.ts'
import { runVirtual } from '../../sim/virtual.ts'

const play = (change: Partial<Scenario>, hours = 24) =>
  runVirtual({ ...PLAIN, ...change }, { hours, seed: 3, stepS: 60 })

describe('vessels that are ill kept', () => {
  it('hatch less in sour water', () => {
    expect(pHShare(8)).toBe(1)
    expect(pHShare(8.4)).toBe(1)
    for (let pH = 8; pH > 6; pH -= 0.2) expect(pHShare(pH - 0.2)).toBeLessThan(pHShare(pH))
    expect(play({ pH: 7 }).end.hatchedShare).toBeLessThan(0.7 * play({}).end.hatchedShare)
  })

  it('hatch less in shade, with the same warmth', () => {
    const well = play({})
    const shaded = play({ shade: [{ atH: 0, to: 0 }] })
    expect(shaded.end.lightLx).toBeLessThan(160)
    expect(shaded.end.topC).toBeCloseTo(well.end.topC, 1)
    expect(shaded.end.hatchedShare).toBeLessThan(0.7 * well.end.hatchedShare)
  })

  it('lie in layers where the air does not reach the bottom, though as much flows', () => {
    const { end, world } = play({ deepAir: [{ atH: 1, to: 0 }] }, 12)
    expect(world.measure().airLpm).toBeGreaterThan(0.4)
    expect(end.topC - end.bottomC).toBeGreaterThan(0.5)
    expect(end.bottomOxygenMgpl).toBeLessThan(end.topOxygenMgpl - 2)
    // A second probe near the surface sees it.
    expect(world.measureUpper()).toBeGreaterThan(end.bottomC + 0.3)
    const mixed = play({}, 12)
    expect(Math.abs(mixed.end.topC - mixed.end.bottomC)).toBeLessThan(0.1)
  })
})
