import type { ComparedBatch } from '../../broker/web/api/compare.ts'

/** What stands at nought for all batches. */
export const AlignBy = { start: 'start', soaked: 'soaked', t10: 't10' } as const
export type AlignBy = (typeof AlignBy)[keyof typeof AlignBy]

type Thin = NonNullable<ComparedBatch['waterC']>

/** A moment of the batch as seconds since its start; `null` where it had not come. */
export function originS(
  { soakedS, t10S }: Pick<ComparedBatch, 'soakedS' | 't10S'>,
  by: AlignBy,
): number | null {
  if (by === AlignBy.start) return 0
  return by === AlignBy.soaked ? soakedS : t10S
}

/** A silence longer than this many steps of the curve is a gap. */
const GAP_STEPS = 3
/** And no shorter than this, s. */
const LEAST_GAP_S = 15 * 60

/** The curve's values at rising moments, s, in a straight line between its own; `null` outside of it and in its gaps. */
export function resampled({ s, v }: Thin, atS: readonly number[]): (number | null)[] {
  const last = s.length - 1
  const step = last > 0 ? ((s[last] ?? 0) - (s[0] ?? 0)) / last : 0
  const gapS = Math.max(LEAST_GAP_S, GAP_STEPS * step)
  let next = 0
  return atS.map(at => {
    while (next <= last && (s[next] ?? 0) < at) next++
    const [to, from] = [s[next], s[next - 1]]
    if (to === at) return v[next] ?? null
    if (to === undefined || from === undefined || to - from > gapS) return null
    const share = (at - from) / (to - from)
    return (v[next - 1] ?? 0) * (1 - share) + (v[next] ?? 0) * share
  })
}

/** So many moments on a plot: about one for two pixels of a wide screen. */
const MOMENTS = 360

export interface Aligned {
  /** Hours from nought, the same for all. */
  readonly h: readonly number[]
  /** By batch, in their order; `null` for one that has no nought. */
  readonly atS: readonly (readonly number[] | null)[]
}

/** One row of moments on which all the batches can be read, whichever of their own moments stands at nought. */
export function aligned(batches: readonly ComparedBatch[], by: AlignBy): Aligned {
  const origins = batches.map(batch => originS(batch, by))
  let [from, to] = [Infinity, -Infinity]
  batches.forEach((batch, index) => {
    const origin = origins[index] ?? null
    if (origin === null) return
    const ends = [batch.waterC, batch.airLpm, batch.lightLx, batch.hatched].map(curve => curve?.s.at(-1) ?? 0)
    from = Math.min(from, -origin)
    to = Math.max(to, Math.max(...ends) - origin)
  })
  if (!(to > from)) return { h: [], atS: batches.map(() => null) }
  const whole = Array.from({ length: MOMENTS }, (_, at) => from + ((to - from) * at) / (MOMENTS - 1))
  return {
    h: whole.map(s => s / 3600),
    atS: origins.map(origin => (origin === null ? null : whole.map(s => s + origin))),
  }
}
