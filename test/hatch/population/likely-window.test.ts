import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { HarvestGoal } from '../../../broker/hatch/contract.ts'
import { harvestWindow } from '../../../broker/hatch/population/harvest-window.ts'
import { likelyWindow } from '../../../broker/hatch/population/likely-window.ts'
import { equallyLikely } from '../../../broker/hatch/normal.ts'

const windowsOf = (medianDegH: number, lnSd: number) =>
  equallyLikely(61).map(z =>
    harvestWindow({ medianDegH: medianDegH * Math.exp(lnSd * z), spread: 0.14 }, HarvestGoal.balanced),
  )
const width = ({ fromDegH, untilDegH }: { fromDegH: number; untilDegH: number }) => untilDegH - fromDegH

describe('the window of a lot that may be any of several', () => {
  it('is its own window when it is known', () => {
    fc.assert(
      fc.property(fc.double({ min: 150, max: 600, noNaN: true }), medianDegH => {
        const own = harvestWindow({ medianDegH, spread: 0.14 }, HarvestGoal.balanced)
        const likely = likelyWindow([own, own, own])
        expect(likely.fromDegH).toBeCloseTo(own.fromDegH, 1)
        expect(likely.untilDegH).toBeCloseTo(own.untilDegH, 1)
      }),
    )
  })

  it('hardly moves with a little doubt, and widens with much of it', () => {
    const own = harvestWindow({ medianDegH: 300, spread: 0.14 }, HarvestGoal.balanced)
    const little = likelyWindow(windowsOf(300, 0.02))
    expect(Math.abs(little.fromDegH / own.fromDegH - 1)).toBeLessThan(0.01)
    expect(Math.abs(little.untilDegH / own.untilDegH - 1)).toBeLessThan(0.01)
    const widths = [0.02, 0.06, 0.12, 0.25].map(sd => width(likelyWindow(windowsOf(300, sd))))
    expect(widths).toEqual([...widths].sort((a, b) => a - b))
    expect(widths[3]).toBeGreaterThan(2 * widths[0]!)
  })

  it('holds where at least half as many are open as where most are', () => {
    const windows = windowsOf(300, 0.15)
    const open = (degH: number) =>
      windows.filter(({ fromDegH, untilDegH }) => fromDegH <= degH && degH <= untilDegH).length
    const { fromDegH, untilDegH } = likelyWindow(windows)
    const most = Math.max(...Array.from({ length: 400 }, (_, i) => open(150 + i)))
    for (const [edge, inward] of [
      [fromDegH, 1],
      [untilDegH, -1],
    ] as const) {
      // One case more or less is one in 61.
      expect(open(edge + inward)).toBeGreaterThanOrEqual(most / 2 - 1)
      expect(open(edge - inward * 8)).toBeLessThanOrEqual(most / 2 + 1)
    }
  })
})
