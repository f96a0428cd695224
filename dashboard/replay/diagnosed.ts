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

/** All that has a number: what is blamed, then what was risky. */
export function rankedCauses(diagnosis: Diagnosis | null): readonly Cause[] {
  return diagnosis ? [...diagnosis.causes, ...diagnosis.risky] : []
}

/** What is shaded behind the curves: a cause's spans on one curve that touch are one, however many pieces of evidence name them. */
export function shadesOf(diagnosis: Diagnosis | null): Shade[] {
  return rankedCauses(diagnosis).flatMap(({ evidence }, index) => {
    const all = evidence.flatMap(({ role, spans }) =>
      spans.map(({ from, to }) => ({
        fromMs: Date.parse(from),
        toMs: Date.parse(to),
        rank: index + 1,
        on: role === null ? ('hatched' as const) : PLOT[role],
      })),
    )
    return [...new Set(all.map(({ on }) => on))].flatMap(on => joined(all.filter(each => each.on === on)))
  })
}

function joined(shades: readonly Shade[]): Shade[] {
  const whole: Shade[] = []
  for (const shade of [...shades].sort((a, b) => a.fromMs - b.fromMs)) {
    const last = whole.at(-1)
    if (last && shade.fromMs <= last.toMs)
      whole[whole.length - 1] = { ...last, toMs: Math.max(last.toMs, shade.toMs) }
    else whole.push(shade)
  }
  return whole
}

/** When the trouble of a cause began, Unix ms; `null` for what held all the time. */
export function beganMs({ evidence }: Cause): number | null {
  const starts = evidence.flatMap(({ spans }) => spans.map(({ from }) => Date.parse(from)))
  return starts.length === 0 ? null : Math.min(...starts)
}
