import type { Alarm } from '../../broker/web/api/schemas.ts'

type Rule = Alarm['rule']

/** Where a rule's slider runs, in the kept unit: the part of what is allowed in which a limit makes a difference. */
export interface Range {
  readonly least: number
  readonly most: number
  readonly step: number
}

export const LIMIT_RANGE: Readonly<Partial<Record<Rule, Range>>> = {
  'water-heading-hot': { least: 5, most: 120, step: 5 },
  'water-too-hot': { least: 26, most: 34, step: 0.1 },
  'water-too-cool': { least: 16, most: 28, step: 0.1 },
  'air-lost': { least: 0, most: 0.5, step: 0.01 },
  'air-fading': { least: 50, most: 95, step: 1 },
  'light-out': { least: 0, most: 2000, step: 10 },
  'water-level': { least: 50, most: 95, step: 1 },
  'device-silent': { least: 30, most: 900, step: 10 },
  'harvest-missed': { least: 0, most: 360, step: 10 },
  'power-lost': { least: 30, most: 900, step: 10 },
}

/** The rules that can be tried out: those that judge readings, not the service itself. */
export const TRIED_RULES: readonly Rule[] = [
  'water-too-hot',
  'water-heading-hot',
  'water-too-cool',
  'air-lost',
  'air-fading',
  'light-out',
  'water-level',
  'probe-fault',
  'probe-out-of-water',
  'device-silent',
  'power-lost',
  'harvest-missed',
]

/** The stops of a delay's slider, s: fine where seconds matter. */
export const DELAYS_S = [0, 5, 10, 15, 30, 60, 120, 180, 300, 600, 900, 1200, 1800, 3600]

/** The stop nearest to a delay. */
export function nearestDelay(seconds: number): number {
  return DELAYS_S.reduce(
    (best, each, at) => (Math.abs(each - seconds) < Math.abs((DELAYS_S[best] ?? 0) - seconds) ? at : best),
    0,
  )
}

/** The readings that a rule judges, and how its limit lies on their curve; `null` where none can be drawn. */
export function curveOf(
  rule: Rule,
): { readonly channel: 'water' | 'air' | 'light'; readonly perLitre: boolean } | null {
  switch (rule) {
    case 'water-too-hot':
    case 'water-heading-hot':
    case 'water-too-cool':
    case 'probe-fault':
    case 'probe-out-of-water':
      return { channel: 'water', perLitre: false }
    case 'air-lost':
    case 'air-fading':
      return { channel: 'air', perLitre: true }
    case 'light-out':
      return { channel: 'light', perLitre: false }
    default:
      return null
  }
}

/** Whether the limit is a level on that curve. */
export const limitOnCurve = (rule: Rule): boolean =>
  rule === 'water-too-hot' || rule === 'water-too-cool' || rule === 'air-lost' || rule === 'light-out'
