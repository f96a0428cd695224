import type { Band } from '../hatch/contract.ts'
import type { Cause, Diagnosis as Made } from '../diagnosis/contract.ts'
import type { Diagnosis } from './api/diagnosis.ts'
import { iso } from './times.ts'

const numbers = ({ p10, p50, p90 }: Band) => ({ p10, p50, p90 })

function cause({ kind, words, evidence, probability, sure, cost, change, noLossCounted }: Cause) {
  return {
    kind,
    words,
    evidence: evidence.map(({ spans, ...rest }) => ({
      ...rest,
      spans: spans.map(({ fromMs, toMs }) => ({ from: iso(fromMs), to: iso(toMs) })),
    })),
    probability,
    sure,
    cost: {
      hatchPoints: numbers(cost.hatchPoints),
      foodPoints: numbers(cost.foodPoints),
      laterH: numbers(cost.laterH),
    },
    ...(noLossCounted ? { noLossCounted } : {}),
    change,
  }
}

/** What a diagnosis is to the API: see `present.ts`. */
export function diagnosis(made: Made): Diagnosis {
  const { version, verdict, words, causes, risky, ruledOut, balance, blindSpots } = made
  return {
    version,
    verdict,
    words,
    causes: causes.map(cause),
    risky: risky.map(cause),
    ruledOut: ruledOut.map(cause),
    balance: {
      without: numbers(balance.without),
      expected: numbers(balance.expected),
      counted: balance.counted,
      unexplained: balance.unexplained && numbers(balance.unexplained),
    },
    blindSpots: [...blindSpots],
  }
}
