import type { Forecast } from './contract.ts'
import { Stage } from './contract.ts'
import { HOUR_MS } from './units.ts'

/** Cysts take up water for 1-2 h (FAO Fisheries Technical Paper 428, Annex 4); the later end, ms. */
export const SOAK_MS = 2 * HOUR_MS

/** Where a batch is on its way at a moment, by the middle of its forecast. */
export function stageAt(
  atMs: number,
  startedAtMs: number,
  times: { readonly t10: Forecast['t10']; readonly harvest: Pick<Forecast['harvest'], 'fromMs' | 'untilMs'> },
): Stage {
  if (atMs < startedAtMs + SOAK_MS && atMs < times.t10.p50) return Stage.soaking
  if (atMs < times.t10.p50) return Stage.incubating
  if (atMs < times.harvest.fromMs) return Stage.hatching
  return atMs <= times.harvest.untilMs ? Stage.harvest : Stage.overdue
}
