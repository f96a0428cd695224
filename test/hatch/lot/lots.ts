import type { BatchEvidence, LotObservation } from '../../../broker/hatch/lot/evidence.ts'
import { seededRandom, type Random } from '../../../sim/random.ts'

const HOUR_MS = 3_600_000
export const DAY_MS = 24 * HOUR_MS
export const AT = Date.UTC(2026, 2, 1)
/** °C above the threshold at which all of these batches are held. */
const RATE = 16

export interface MadeLot {
  readonly medianDegH: number
  readonly sigma: number
  readonly hatches: number
}

/** A moment of a batch that was held at 27 °C all the time. */
export const at = (startedAtMs: number, degH: number) => ({
  degH,
  degHSd: 0,
  atMs: startedAtMs + (degH / RATE) * HOUR_MS,
})

export const firstSeen = (startedAtMs: number, degH: number): LotObservation => ({
  kind: 'first-swimmers',
  ...at(startedAtMs, degH),
})

export interface Counted {
  readonly nauplii: number
  readonly umbrella?: number | null
  readonly embryos?: number | null
  readonly harvest?: boolean
}
export const counted = (startedAtMs: number, degH: number, count: Counted): LotObservation => ({
  kind: 'count',
  ...at(startedAtMs, degH),
  nauplii: count.nauplii,
  umbrella: count.umbrella ?? null,
  embryos: count.embryos ?? null,
  sampledMl: 1.5,
  harvest: count.harvest ?? true,
})

export const batchOf = (startedAtMs: number, items: readonly LotObservation[]): BatchEvidence => ({
  startedAtMs,
  litres: 1,
  cystsG: 2,
  items,
})

/** Single embryos drawn one by one, looked at late and counted: what a keeper would write down. Not the model's own code. */
export function livedBatch(
  lot: MadeLot,
  startedAtMs: number,
  random: Random,
  embryosToo = true,
): BatchEvidence {
  const own = lot.medianDegH * Math.exp(0.03 * random.normal())
  const needs = Array.from({ length: 760 }, () =>
    random.uniform() < lot.hatches ? own * Math.exp(lot.sigma * random.normal()) : Infinity,
  ).sort((a, b) => a - b)
  const firstDegH = (needs[Math.round(760 * lot.hatches * 0.02)] ?? own) + 20 * random.exponential()
  const harvestDegH = own * (1.15 + 0.1 * random.uniform())
  const by = (degH: number) => needs.filter(need => need <= degH).length
  const nauplii = by(harvestDegH)
  const umbrella = by(harvestDegH / 0.91) - nauplii
  return batchOf(startedAtMs, [
    firstSeen(startedAtMs, firstDegH),
    counted(startedAtMs, harvestDegH, {
      nauplii,
      umbrella: embryosToo ? umbrella : null,
      embryos: embryosToo ? 760 - nauplii - umbrella : null,
    }),
  ])
}

/** So many batches of one lot, two days apart. */
export function livedHistory(lot: MadeLot, batches: number, seed: number, fromMs = AT): BatchEvidence[] {
  const random = seededRandom(seed)
  return Array.from({ length: batches }, (_, i) =>
    livedBatch(lot, fromMs + 2 * i * DAY_MS, random.fork(`batch ${i}`)),
  )
}
