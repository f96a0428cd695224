/** How uncertainties add up: JCGM 100:2008, Evaluation of measurement data, Guide to the expression of uncertainty (GUM). */

/** One thing that a result hangs on. */
export interface Contribution {
  /** How much the result moves for one unit of it: the partial derivative. */
  readonly sensitivity: number
  /** Its standard uncertainty: one standard deviation. */
  readonly u: number
  /** Inputs of one group are off by the same thing, and fully correlated; without one it is independent of all others. */
  readonly group?: string
}

/**
 * The combined standard uncertainty: the root of the sum of the squares of independent contributions (GUM 5.1.2, equation 10);
 * fully correlated ones are added first, with their signs (GUM 5.2.2, note 1).
 */
export function combined(contributions: readonly Contribution[]): number {
  const groups = new Map<string, number>()
  let variance = 0
  for (const { sensitivity, u, group } of contributions) {
    const part = sensitivity * u
    if (group === undefined) variance += part * part
    else groups.set(group, (groups.get(group) ?? 0) + part)
  }
  for (const sum of groups.values()) variance += sum * sum
  return Math.sqrt(variance)
}

/** The standard uncertainty of what lies somewhere within ± `halfWidth`, each place as likely: GUM 4.3.7. */
export const ofHalfWidth = (halfWidth: number): number => halfWidth / Math.sqrt(3)

/** The standard uncertainty that comes of showing a value in steps: 0.29 of a step, GUM F.2.2.1. */
export const ofStep = (step: number): number => step / Math.sqrt(12)

/** The coverage factor of an expanded uncertainty of about 95 %: GUM 6.2.1 and G.6.6. */
export const COVERAGE = 2
