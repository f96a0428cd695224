import type { Census } from './biology/population.ts'

/** What is really so in a simulated vessel. It goes into a file for tests, and never over the link. */
export interface Truth {
  /** Since the cysts were poured in. */
  readonly hours: number
  readonly topC: number
  readonly bottomC: number
  readonly roomC: number
  readonly lightLx: number
  readonly airLpm: number
  readonly topOxygenMgpl: number
  readonly bottomOxygenMgpl: number
  readonly salinityGpl: number
  readonly litres: number
  readonly networkUp: boolean
  readonly lampRelayOpen: boolean
  /** Ever hatched, as a share of all cysts; and those that have died, hatched or not. */
  readonly hatchedShare: number
  readonly deadShare: number
  readonly census: Census
  /** Hours at which 10 and 90 % of all that have hatched so far had hatched: final only when hatching is over. */
  readonly t10H: number | null
  readonly t90H: number | null
}

/** One line of a truth file: JSON, `vessel` and `at` (Unix ms) added. */
export function truthLine(vessel: string, atMs: number, truth: Truth): string {
  return `${JSON.stringify({ vessel, atMs, ...truth })}\n`
}
