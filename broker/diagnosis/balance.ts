import { bandOf } from '../hatch/band.ts'
import { binomialInterval, scaled } from '../hatch/counts/interval.ts'
import { countedAt, wholeCountOf } from '../hatch/counts/whole-count.ts'
import { readyCount } from '../hatch/lot/counted.ts'
import { CYSTS_PER_G } from '../hatch/lot/lot.ts'
import type { Balance } from './contract.ts'
import { seenOf } from './believe.ts'
import type { Costs } from './cost.ts'
import type { Case } from './suspects/suspect.ts'

/** What was expected, what its causes took, what was counted, and what is left over. */
export function balanceOf(of: Case, costs: Costs): Balance {
  const counted = countedPercent(of)
  return {
    without: bandOf(costs.without),
    expected: bandOf(costs.all),
    counted,
    unexplained: counted === null ? null : leftOver(costs.all, counted),
  }
}

/** Of all full cysts, per cent, with limits at 95 %: from the harvest's count. */
function countedPercent({ input }: Case): Balance['counted'] {
  const seen = seenOf(input)
  const last = seen.counts.findLast(count => count.harvest)
  if (!last) return null
  const harvest = wholeCountOf(seen.counts, last, countedAt) ?? last
  // What sampling is worth, beyond chance, is in the effective numbers.
  const ready = readyCount(harvest, seen.evidence)
  if (ready.embryos !== null) {
    const whole = Math.round(ready.nauplii + (ready.umbrella ?? 0) + ready.embryos)
    if (whole === 0 || harvest.embryos === null) return null
    const { low, high } = scaled(binomialInterval(Math.round(ready.nauplii), whole), 100)
    // As it was counted: the number itself is the one that stands with the batch everywhere else.
    const best = (100 * harvest.nauplii) / (harvest.nauplii + (harvest.umbrella ?? 0) + harvest.embryos)
    return { low: Math.min(low, best), best, high: Math.max(high, best) }
  }
  const cysts = (input.batch.cystsG * CYSTS_PER_G * harvest.sampledMl) / (1000 * input.batch.litres)
  if (!(cysts > 0)) return null
  const best = (100 * harvest.nauplii) / cysts
  // Dose, volumes and cysts in a gram are not known better than this: see `counted.ts`.
  return { low: best * Math.exp(-0.3), best, high: best * Math.exp(0.3) }
}

/** The two doubts are independent: the count's limits are 1.96 standard deviations out, the band's ends 1.28. */
function leftOver(expected: Float64Array, counted: NonNullable<Balance['counted']>): Balance['unexplained'] {
  const band = bandOf(expected)
  const p50 = counted.best - band.p50
  const below = Math.hypot(((counted.best - counted.low) * 1.2816) / 1.96, band.p90 - band.p50)
  const above = Math.hypot(((counted.high - counted.best) * 1.2816) / 1.96, band.p50 - band.p10)
  return { p10: p50 - below, p50, p90: p50 + above }
}
