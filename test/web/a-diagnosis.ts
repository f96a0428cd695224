import type { Diagnosis } from '../../broker/diagnosis/contract.ts'
import { HOUR_MS, NOW_MS } from './examples.ts'

const none = { p10: 0, p50: 0, p90: 0 }

/** A diagnosis with something in each of its fields. */
export const A_DIAGNOSIS: Diagnosis = {
  version: 1,
  verdict: 'causes',
  words: 'The water was too hot.',
  causes: [
    {
      kind: 'too-hot',
      words: 'The water was too hot.',
      evidence: [
        {
          role: 'water',
          spans: [{ fromMs: NOW_MS - 2 * HOUR_MS, toMs: NOW_MS - HOUR_MS }],
          value: 35,
          limit: 29.4,
          unit: '°C',
          source: 'Common practice of the trade, no source',
          words: 'Above 29.4 °C for 60 min.',
        },
      ],
      probability: 0.98,
      sure: 'as good as certain',
      cost: {
        hatchPoints: { p10: 20, p50: 30, p90: 50 },
        foodPoints: { p10: 20, p50: 30, p90: 50 },
        laterH: none,
      },
      change: 'Keep the water below 28 °C.',
    },
  ],
  risky: [],
  ruledOut: [],
  balance: {
    without: { p10: 60, p50: 70, p90: 80 },
    expected: { p10: 20, p50: 40, p90: 50 },
    counted: { low: 30, best: 35, high: 40 },
    unexplained: { p10: -20, p50: -5, p90: 20 },
  },
  blindSpots: ['The pH was not measured.'],
}
