import type { LotBelief } from '../../hatch/contract.ts'
import { readyCount } from '../../hatch/lot/counted.ts'
import { DOSE_LN_SD } from '../../hatch/lot/alone.ts'
import type { BatchEvidence, NaupliiCounted } from '../../hatch/lot/evidence.ts'
import { firstSwimmersLikelihood } from '../../hatch/lot/first-swimmers.ts'
import { bell, steps } from '../../hatch/lot/grid.ts'
import { CYSTS_PER_G_LN_SD, hatchBand } from '../../hatch/lot/lot.ts'
import { lnOdds, shareOfOdds } from '../../hatch/lot/odds.ts'
import { Z90 } from '../../hatch/normal.ts'
import type { Draw } from './draws.ts'
import type { Shares } from './run.ts'

/** Shares that hatch, evenly in their ln odds: from 0.4 to 97 %. */
const ODDS_STEP = 0.25
const ODDS = steps(-5.5, ODDS_STEP, 37)
export const HATCH_SHARES: readonly number[] = ODDS.map(shareOfOdds)
/** How likely a batch is to have any share, whatever its lot: spoilt, poisoned, never wetted. Own choice. */
export const ANY_SHARE = 0.1
/** What is out of this model's reckoning at any time: strays, misread stages, a population that is not quite as it is drawn. Own choice. */
const STRAY = 0.01

/** How likely shares are before anything of this batch was counted; sums to 1. */
export function hatchPrior(belief: LotBelief): number[] {
  const band = hatchBand(belief)
  const middle = lnOdds(band.p50)
  const low = Math.max((middle - lnOdds(band.p10)) / Z90, 0.15)
  const high = Math.max((lnOdds(band.p90) - middle) / Z90, 0.15)
  const known = ODDS.map(odds => bell((odds - middle) / (odds < middle ? low : high)))
  const sum = known.reduce((a, b) => a + b, 0)
  return known.map(one => (1 - ANY_SHARE) * (one / sum) + ANY_SHARE / ODDS.length)
}

/** What was seen of a batch, ready to be held against draws. */
export interface Seen {
  readonly evidence: BatchEvidence
  readonly counts: readonly NaupliiCounted[]
  readonly firstSwimmersAtMs: number | null
}

/** ln of how likely what was seen is for a draw at each share of {@link HATCH_SHARES}. `looks`: at each count, then at the first swimmers. */
export function lnLikelihoods(
  seen: Seen,
  draw: Draw,
  setUp: number,
  looks: readonly Shares[],
  degHAtFirst: number | null,
): Float64Array {
  const out = new Float64Array(HATCH_SHARES.length)
  if (seen.firstSwimmersAtMs !== null && degHAtFirst !== null) {
    const item = {
      kind: 'first-swimmers' as const,
      atMs: seen.firstSwimmersAtMs,
      degH: Math.max(degHAtFirst, 1e-3),
      degHSd: 0,
    }
    const likely = firstSwimmersLikelihood(item, seen.evidence, [draw.lnMedian], [draw.sigma])[0] ?? 0
    out.fill(Math.log(likely + 1e-6))
  }
  seen.counts.forEach((count, at) => {
    const shares = looks[at]
    if (!shares) return
    const ready = readyCount(count, seen.evidence)
    HATCH_SHARES.forEach((share, index) => {
      out[index] = (out[index] ?? 0) + lnCount(ready, share * setUp, shares)
    })
  })
  return out
}

/** Nauplii in so much water are Poisson around what the dose gives, that mean itself unsure by a gamma distribution of this shape. */
const DOSE_SHAPE = 1 / (CYSTS_PER_G_LN_SD ** 2 + DOSE_LN_SD ** 2)

function lnCount(ready: ReturnType<typeof readyCount>, hatching: number, shares: Shares): number {
  const { nauplii, umbrella, embryos, cystsSampled } = ready
  const swimming = STRAY + (1 - 2 * STRAY) * hatching * shares.nauplii
  const hanging = STRAY + (1 - 2 * STRAY) * hatching * shares.umbrella
  const shut = STRAY + (1 - 2 * STRAY) * Math.max(0, 1 - hatching * shares.emerged)
  let ln = 0
  const whole = swimming + (umbrella === null ? 0 : hanging) + (embryos === null ? 0 : shut)
  if (umbrella !== null || embryos !== null) {
    ln += nauplii * Math.log(swimming / whole)
    if (umbrella !== null) ln += umbrella * Math.log(hanging / whole)
    if (embryos !== null) ln += embryos * Math.log(shut / whole)
  }
  if (cystsSampled > 0) {
    const mean = cystsSampled * swimming
    ln += nauplii * Math.log(mean) - (DOSE_SHAPE + nauplii) * Math.log(DOSE_SHAPE + mean)
  }
  return ln
}

/** A draw with the share that hatches in it. */
export interface Believed {
  readonly draw: Draw
  readonly hatchShare: number
}

/** So many equally likely ones out of weighed draws and shares, in order: systematic resampling. */
export function resampled(
  draws: readonly Draw[],
  weights: readonly Float64Array[],
  count: number,
): Believed[] {
  const shares = HATCH_SHARES.length
  let total = 0
  for (const row of weights) for (const one of row) total += one
  const out: Believed[] = []
  let passed = 0
  let next = total / (2 * count)
  for (let at = 0; at < draws.length; at++) {
    const draw = draws[at]
    const row = weights[at]
    if (!draw || !row) continue
    for (let share = 0; share < shares; share++) {
      const weight = row[share] ?? 0
      passed += weight
      while (out.length < count && passed >= next) {
        // Anywhere within its step, as the weight is spread over all of it: bands would lie on the steps else.
        const within = 0.5 - (passed - next) / Math.max(weight, 1e-300)
        out.push({ draw, hatchShare: shareOfOdds((ODDS[share] ?? 0) + within * ODDS_STEP) })
        next += total / count
      }
    }
  }
  const last = out.at(-1)
  while (last && out.length < count) out.push(last)
  return out
}
