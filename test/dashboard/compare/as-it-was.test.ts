import { describe, expect, it } from 'vitest'
import type { ComparedBatch } from '../../../broker/web/api/compare.ts'
import type { Diagnosis } from '../../../broker/web/api/diagnosis.ts'
import { asItWas } from '../../../dashboard/compare/as-it-was.ts'

const START = Date.parse('2026-01-01T00:00:00Z')
const one = (hatchPercentage: number | null, naupliiPerG: number) =>
  ({
    batch: { startedAt: new Date(START).toISOString() },
    counted: { hatchPercentage, naupliiPerG },
    hatched: { s: [0, 3600, 7200, 10_800], v: [0, 0.1, 0.5, 0.9] },
    t10S: 3600,
    t90S: 10_800,
  }) as unknown as ComparedBatch
const heat = {
  causes: [
    {
      kind: 'too-hot',
      evidence: [{ spans: [{ from: new Date(START + 5_000_000).toISOString() }] }],
    },
  ],
} as unknown as Diagnosis

describe('a batch beside others', () => {
  it('that was dead at its count has no course after what killed it', () => {
    expect(asItWas(one(0, 0), heat)).toMatchObject({
      hatched: { s: [0, 3600, 7200, 10_800], v: [0, 0.1, 0.1, 0.1] },
      t10S: 3600,
      t90S: null,
    })
    expect(asItWas(one(null, 0), heat).t90S).toBeNull()
  })

  it('that was dead shows nothing while it is not known of what', () => {
    // Not looked at yet, or looked at and nothing found that kills: a weak lot, or what was not measured.
    for (const made of [undefined, { causes: [] } as unknown as Diagnosis])
      expect(asItWas(one(0, 0), made)).toMatchObject({
        hatched: { v: [0, 0, 0, 0] },
        t10S: null,
        t90S: null,
      })
  })

  it('is as the model has it where some were alive, and where nobody counted', () => {
    for (const [alive, made] of [
      [one(30, 90_000), heat],
      [one(null, 90_000), heat],
    ] as const)
      expect(asItWas(alive, made)).toEqual(alive)
    const uncounted = { ...one(0, 0), counted: null }
    expect(asItWas(uncounted, heat)).toBe(uncounted)
  })
})
