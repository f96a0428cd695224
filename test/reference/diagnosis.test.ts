import { describe, expect, it } from 'vitest'
import { drawsFor } from '../../broker/diagnosis/model/draws.ts'
import { crowdShare, lightShare, pHShare, saltShare } from '../../broker/diagnosis/model/situation.ts'
import { unseenLot } from '../../broker/hatch/lot/lot.ts'

const draws = drawsFor(unseenLot, 256)
const span = (values: readonly number[]) => [Math.min(...values), Math.max(...values)] as const

describe('what the diagnosis believes of effects, against what was published', () => {
  it('has salt as two populations had it', () => {
    // 33.0 ± 4.5 % at 5 g/l against 67.0 ± 1.2 % at 35 (Suneetha, Padmavathi & Chatla, Acta Biologica Turcica): a share of 0.49; and no
    // effect from 5 to 30 g/l in another population (Eslava-Eljaiek et al. 2011).
    const [low, high] = span(draws.map(draw => saltShare(5, draw)))
    expect(low).toBeGreaterThan(0.48)
    expect(low).toBeLessThan(0.53)
    expect(high).toBeGreaterThan(0.97)
    // Plateau 20-35 g/l; no uptake of water above 85-90 (after Lavens & Sorgeloos 1996, FAO Fisheries Technical Paper 361).
    for (const draw of draws) {
      for (const gpl of [20, 27, 35]) expect(saltShare(gpl, draw)).toBe(1)
      expect(saltShare(90, draw)).toBe(0)
      expect(saltShare(60, draw)).toBeLessThan(1)
    }
  })

  it('has up to 5 g/l of cysts below 20 l, 2 g/l above, cost nothing', () => {
    // After Lavens & Sorgeloos 1996, FAO 361; New 2002, FAO 428, Annex 4.
    for (const draw of draws) {
      expect(crowdShare(2, 5, draw)).toBe(1)
      expect(crowdShare(2, 8, draw)).toBeLessThan(1)
      expect(crowdShare(20, 2, draw)).toBe(1)
      expect(crowdShare(20, 5, draw)).toBeLessThan(1)
    }
  })

  it('has a pH from 8 on cost nothing, and six hours of light enough for all', () => {
    // pH must stay above 8 (after FAO 361); 6 h of light or less trigger hatching fully (J. Crustacean Biology, doi
    // 10.1163/1937240x-00002454).
    for (const draw of draws) {
      expect(pHShare(8, draw)).toBe(1)
      expect(pHShare(7, draw)).toBeLessThan(1)
      expect(lightShare(6, draw)).toBeCloseTo(1, 9)
      expect(lightShare(0, draw)).toBeLessThan(1)
    }
  })
})
