import { describe, expect, it } from 'vitest'
import { estimateCount } from '../../broker/hatch/counts/estimate.ts'
import { CountEstimate } from '../../broker/web/api/counts.ts'
import { answer, bench, refusal } from './harness.ts'

const { ask } = bench()
const estimate = (json: unknown, init?: RequestInit) => ask('POST', '/api/v1/counts/estimate', json, init)
const sample = { sampleMl: 1, nauplii: 100 }
const good = {
  litres: 1,
  cystsG: 2,
  samples: [sample, { sampleMl: 1, nauplii: 110 }, { sampleMl: 1, nauplii: 115 }],
}

describe('an estimate from counts over HTTP', () => {
  it('is that of the hatch model', async () => {
    const told = await answer(await estimate(good), 200, CountEstimate)
    const { dispersion, ...rest } = estimateCount(good)
    expect(told).toEqual({
      ...rest,
      dispersion: { index: dispersion.index, p: dispersion.p, verdict: dispersion.verdict },
    })
    expect(told.words).toBe('96,000-121,000 nauplii; one more sample for ±10 %.')
    expect(told.nauplii.best).toBeCloseTo(325_000 / 3, 6)
    expect(told.hatchPercentage).toBeNull()
  })

  it('takes dilutions, the unhatched, a wanted precision and unsure volumes', async () => {
    const told = await answer(
      await estimate({
        ...good,
        samples: [
          { sampleMl: 5, dilution: 10, nauplii: 84, umbrella: 2, embryos: 14 },
          { sampleMl: 0.5, nauplii: 84, umbrella: 2, embryos: 14 },
        ],
        wantedPrecision: 0.05,
        sampleErrorShare: 0.25,
      }),
      200,
      CountEstimate,
    )
    expect(told.perMl.best).toBeCloseTo(168, 9)
    expect(told.hatchPercentage!.best).toBeCloseTo(84, 9)
    expect(told.naupliiPerG.best).toBeCloseTo(84_000, 6)
    expect(told.moreSamples.forPrecision).toBe(0.05)
    expect(told.nauplii.high).toBeGreaterThan(1.25 * told.nauplii.best)
    expect(told.dispersion.verdict).toBe('mixed')
  })

  it('tells of an unmixed vessel', async () => {
    const samples = [20, 45, 80].map(nauplii => ({ sampleMl: 1, nauplii }))
    const told = await answer(await estimate({ ...good, samples }), 200, CountEstimate)
    expect(told.dispersion.verdict).toBe('unmixed')
    expect(told.words).toContain('mix it well')
  })

  it('answers for nothing seen, and keeps nothing', async () => {
    const { room, ask: elsewhere } = bench()
    const before = JSON.stringify(room.snapshot())
    const response = await elsewhere('POST', '/api/v1/counts/estimate', {
      ...good,
      samples: [{ sampleMl: 1, nauplii: 0 }],
    })
    const told = await answer(response, 200, CountEstimate)
    expect(told).toMatchObject({ counted: 0, nauplii: { low: 0, best: 0 }, moreSamples: { n: null } })
    expect(JSON.stringify(room.snapshot())).toBe(before)
  })

  it.each([
    [{ ...good, litres: 0 }, 'litres'],
    [{ ...good, litres: '1' }, 'litres'],
    [{ ...good, cystsG: -1 }, 'cystsG'],
    [{ ...good, samples: [] }, 'samples'],
    [{ ...good, samples: Array.from({ length: 101 }, () => sample) }, 'samples'],
    [{ litres: 1, cystsG: 2 }, 'samples'],
    [{ ...good, samples: [{ ...sample, nauplii: 1.5 }] }, 'samples.0.nauplii'],
    [{ ...good, samples: [sample, { ...sample, nauplii: 1_000_001 }] }, 'samples.1.nauplii'],
    [{ ...good, samples: [{ ...sample, embryos: -1 }] }, 'samples.0.embryos'],
    [{ ...good, samples: [{ ...sample, sampleMl: 0 }] }, 'samples.0.sampleMl'],
    [{ ...good, samples: [{ ...sample, sampleMl: 1e-9 }] }, 'samples.0.sampleMl'],
    [{ ...good, samples: [{ ...sample, dilution: 0.5 }] }, 'samples.0.dilution'],
    [{ ...good, wantedPrecision: 0 }, 'wantedPrecision'],
    [{ ...good, sampleErrorShare: 2 }, 'sampleErrorShare'],
    [{ ...good, grams: 2 }, 'grams'],
    [{ ...good, litres: 0.002 }, 'samples'],
    [[], 'body'],
  ])('%#: names the field that is wrong', async (body, field) => {
    expect((await refusal(await estimate(body), 422)).fields).toEqual([field])
  })

  it('says what no single field could: more sampled than there is', async () => {
    const { detail } = await refusal(await estimate({ ...good, litres: 0.002 }), 422)
    expect(detail).toBe(
      "Cannot estimate from counts: samples must be less water than the vessel's 2 mL, got 3 mL",
    )
  })

  it('refuses what is no JSON', async () => {
    await refusal(await estimate('{'), 400)
    await refusal(await estimate('x', { headers: { 'content-type': 'text/plain' } }), 415)
  })
})
