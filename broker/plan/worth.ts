import { energyInCold, USUAL_COLD_C } from '../hatch/holding/holding.ts'
import type { AfterBest, PastBest } from './contract.ts'
import type { Servable, Way } from './ways.ts'

const HOUR_MS = 3_600_000
/** A harvest is told to come after the best moment from so many hours on: the grid of starts and harvests is half as fine. Own choice. */
const TOLD_FROM_H = 1

/** Energy of the mean nauplius of a serving when it is fed, as a share of what it hatched with; `null` where that is not known. */
export function energyLeft(
  source: Way['source'],
  { ageH, coldH }: Pick<Servable, 'ageH' | 'coldH'>,
): number | null {
  if (source.kind === 'held') {
    const { energyAtTaking, coldC = USUAL_COLD_C } = source.held
    return energyAtTaking === undefined ? null : energyInCold(energyAtTaking, coldH, coldC).p50
  }
  const { afterBest, ageH: bestAgeH, ageing } = source.kind === 'running' ? source.batch : source.outlook
  if (!afterBest) return null
  const atTaking = at(afterBest.energy, ageing > 0 ? (ageH - bestAgeH) / ageing : 0)
  return energyInCold(atTaking, coldH, USUAL_COLD_C).p50
}

/** What a harvest loses by coming so long after the best moment; nothing where that is soon enough, or not known. */
export function pastBest(
  afterBest: AfterBest | undefined,
  bestMs: number,
  harvestMs: number,
): { readonly pastBest: PastBest } | Record<never, never> {
  const hours = (harvestMs - bestMs) / HOUR_MS
  if (!afterBest || hours < TOLD_FROM_H) return {}
  return { pastBest: { hours, lost: 1 - at(afterBest.food, hours) } }
}

/** Of what is known at whole hours, what lies between; past the last as at the last. */
function at(hourly: readonly number[], hours: number): number {
  const last = hourly.length - 1
  const h = Math.min(Math.max(hours, 0), last)
  const low = hourly[Math.floor(h)] ?? 0
  const high = hourly[Math.ceil(h)] ?? low
  return low + (high - low) * (h - Math.floor(h))
}
