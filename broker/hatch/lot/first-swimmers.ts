import { bell } from './grid.ts'
import type { BatchEvidence, FirstSwimmersSeen } from './evidence.ts'
import { HOUR_MS } from '../units.ts'

/**
 * The first swimmers are seen when about 2.3 % of the final number have hatched, two standard deviations early, as in the
 * published rows (`lot.ts`); which share a person calls the first differs. Own choice.
 */
const SEEN_Z = -2
const SEEN_Z_SD = 0.35

/**
 * People look now and then, so the first swam before they were seen: mostly an hour or so before, and after a night many
 * hours. Four in five looks are late by an exponential time of 1.2 h, one in five by one of 5 h. Own choice.
 */
const LATE = [
  { share: 0.8, meanH: 1.2 },
  { share: 0.2, meanH: 5 },
] as const
const LATE_EDGES_H = [0, 0.5, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 7, 8, 9, 10, 12, 15] as const
const LATE_CELLS = LATE_EDGES_H.slice(1).map((toH, at) => {
  const fromH = LATE_EDGES_H[at] ?? 0
  const still = (hours: number) =>
    LATE.reduce((sum, { share, meanH }) => sum + share * Math.exp(-hours / meanH), 0)
  return { lateH: (fromH + toH) / 2, widthH: toH - fromH, share: still(fromH) - still(toH) }
})

/**
 * How likely it is that the first were seen then, for each median × spread, as a factor: early swimmers speak against slow
 * lots at once, late ones hardly against fast ones.
 */
export function firstSwimmersLikelihood(
  { degH, atMs }: FirstSwimmersSeen,
  batch: BatchEvidence,
  lnMedians: readonly number[],
  sigmas: readonly number[],
): Float64Array {
  const likelihood = new Float64Array(lnMedians.length * sigmas.length)
  const degHPerHour = degH / Math.max((atMs - batch.startedAtMs) / HOUR_MS, 1e-3)
  for (const { lateH, widthH, share } of LATE_CELLS) {
    const hatchedAt = degH - lateH * degHPerHour
    if (!(hatchedAt > 1)) continue
    // A look's delay is anywhere in its cell, which blurs it by the cell's width.
    const cellSd = (widthH * degHPerHour) / hatchedAt / Math.sqrt(12)
    const ln = Math.log(hatchedAt)
    for (let s = 0; s < sigmas.length; s++) {
      const sigma = sigmas[s] ?? 0
      const sd = Math.hypot(SEEN_Z_SD * sigma, cellSd)
      // In the density of the time, not of its logarithm.
      const weight = share / (sd * hatchedAt)
      for (let m = 0; m < lnMedians.length; m++) {
        const z = (ln - (lnMedians[m] ?? 0) - SEEN_Z * sigma) / sd
        if (z > -6 && z < 6) {
          const at = m * sigmas.length + s
          likelihood[at] = (likelihood[at] ?? 0) + weight * bell(z)
        }
      }
    }
  }
  return likelihood
}
