import { describe, expect, it } from 'vitest'
import { countedSoFar } from '../../../broker/hatch/lot/counted-so-far.ts'
import type { BatchEvidence, NaupliiCounted } from '../../../broker/hatch/lot/evidence.ts'

const count = (part: Partial<NaupliiCounted>): NaupliiCounted => ({
  kind: 'count',
  atMs: 1,
  degH: 300,
  degHSd: 1,
  nauplii: 100,
  umbrella: null,
  embryos: null,
  sampledMl: 1,
  harvest: true,
  ...part,
})
// Counted a day after it was set up, when all is out.
const batch = (...items: BatchEvidence['items']): BatchEvidence => ({
  startedAtMs: -24 * 3_600_000,
  litres: 2,
  cystsG: 4,
  items,
})

describe('what was counted of a lot', () => {
  it('is nothing while nothing was counted', () => {
    expect(countedSoFar([])).toBeNull()
    expect(countedSoFar([batch(), batch({ kind: 'first-swimmers', atMs: 1, degH: 1, degHSd: 1 })])).toBeNull()
    expect(countedSoFar([batch(count({ sampledMl: 0 }))])).toBeNull()
  })

  it('is the published sum: the mean count times the volume by the sample, by the grams', () => {
    // HE = mean count × (vessel volume / sample volume) / grams (Asem 2013, after Sorgeloos et al. 1978): 100 × 2000 / 1 / 4.
    expect(countedSoFar([batch(count({}))])).toEqual({
      batches: 1,
      naupliiPerG: { mean: 50_000, least: 50_000, most: 50_000 },
      hatchShare: null,
    })
  })

  it('takes of each batch its newest harvest count, and the mean over the batches', () => {
    const midway = count({ harvest: false, nauplii: 7 })
    const found = countedSoFar([
      batch(count({ nauplii: 40 }), count({ nauplii: 200 }), midway),
      batch(count({ nauplii: 100 })),
    ])
    expect(found?.naupliiPerG).toEqual({ mean: 75_000, least: 50_000, most: 100_000 })
    expect(countedSoFar([batch(midway)])?.naupliiPerG.mean).toBe(3500)
  })

  it('tells the share of a count of the stirred vessel, though what was drawn off was counted after it', () => {
    // H% = 100 N / (N + U + E) (Asem 2013): 60 of 100.
    const stirred = count({ nauplii: 60, umbrella: 10, embryos: 30 })
    const drawnOff = count({ nauplii: 90 })
    expect(countedSoFar([batch(stirred, drawnOff)])).toMatchObject({
      // Hatching efficiency is of the vessel (Asem 2013), not of what of it was drawn off.
      naupliiPerG: { mean: 30_000 },
      hatchShare: 0.6,
    })
  })
})
