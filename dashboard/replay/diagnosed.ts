import type { Diagnosis } from '../../broker/web/api/diagnosis.ts'
import type { Curve } from '../curves/history.ts'

export type { Diagnosis }
export type Cause = Diagnosis['causes'][number]
export type Evidence = Cause['evidence'][number]

/** Where a span of evidence is drawn. */
export type Shaded = Curve | 'hatched'

/** A stretch of time that speaks for a cause. */
export interface Shade {
  readonly fromMs: number
  readonly toMs: number
  /** The cause's place in the ranking, from 1. */
  readonly rank: number
  readonly on: Shaded
}

const PLOT: Record<NonNullable<Evidence['role']>, Shaded> = {
  water: 'water',
  'upper-water': 'water',
  room: 'room',
  air: 'air',
  light: 'light',
  level: 'level',
}

/** What is shaded behind the curves: each cause's spans once a curve, however many pieces of evidence name them. */
export function shadesOf(diagnosis: Diagnosis | null): Shade[] {
  const seen = new Set<string>()
  const shades: Shade[] = []
  diagnosis?.causes.forEach((cause, index) => {
    for (const { role, spans } of cause.evidence)
      for (const { from, to } of spans) {
        const on = role === null ? 'hatched' : PLOT[role]
        const key = `${index} ${on} ${from} ${to}`
        if (seen.has(key)) continue
        seen.add(key)
        shades.push({ fromMs: Date.parse(from), toMs: Date.parse(to), rank: index + 1, on })
      }
  })
  return shades
}

/** When the trouble of a cause began, Unix ms; `null` for what held all the time. */
export function beganMs({ evidence }: Cause): number | null {
  const starts = evidence.flatMap(({ spans }) => spans.map(({ from }) => Date.parse(from)))
  return starts.length === 0 ? null : Math.min(...starts)
}
