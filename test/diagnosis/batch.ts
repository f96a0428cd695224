import type { DiagnosisInput, Measured } from '../../broker/diagnosis/contract.ts'
import { HarvestGoal } from '../../broker/hatch/contract.ts'
import { unseenLot } from '../../broker/hatch/lot/lot.ts'
import { Quality } from '../../broker/intake/reading.ts'
import type { Sample } from '../../broker/store/contract.ts'

export const HOUR_MS = 3_600_000
export const START_MS = Date.UTC(2026, 0, 10, 8)
const EVERY_MS = 5 * 60_000

/** Readings as a function of hours since the start; `null` is a gap. */
export function series(hours: number, of: (atH: number, step: number) => number | null, fromH = 0): Sample[] {
  const out: Sample[] = []
  for (let step = 0; step * EVERY_MS < (hours - fromH) * HOUR_MS; step++) {
    const atMs = START_MS + fromH * HOUR_MS + step * EVERY_MS
    const value = of((atMs - START_MS) / HOUR_MS, step)
    if (value !== null) out.push({ atMs, value, quality: Quality.good })
  }
  return out
}

/** The last digit of a probe is never still. */
export const still = (waterC: number) => (_atH: number, step: number) => waterC + 0.0625 * (step % 3)

interface Told {
  readonly hours?: number
  readonly readings?: Partial<Record<Measured, readonly Sample[]>>
  readonly counted?: {
    readonly nauplii: number
    readonly umbrella?: number
    readonly embryos?: number
  } | null
  readonly batch?: Partial<DiagnosisInput['batch']>
  readonly written?: DiagnosisInput['written']
}

/** A well batch of a litre and 2 g at 27 °C, all that can be measured measured, counted at its harvest; changed as told. */
export function aBatch({
  hours = 23,
  readings = {},
  counted,
  batch = {},
  written = {},
}: Told = {}): DiagnosisInput {
  const endMs = START_MS + hours * HOUR_MS
  const count = counted === undefined ? { nauplii: 576, umbrella: 6, embryos: 150 } : counted
  return {
    batch: {
      startedAtMs: START_MS,
      endedAtMs: endMs,
      litres: 1,
      cystsG: 2,
      salinityGpl: 25,
      goal: HarvestGoal.balanced,
      ...batch,
    },
    nowMs: endMs,
    readings: {
      water: series(hours, still(27)),
      room: series(hours, still(22)),
      air: series(hours, () => 0.5),
      light: series(hours, () => 2500),
      ...readings,
    },
    written: {
      ...(count === null
        ? {}
        : {
            counts: [
              {
                atMs: endMs,
                nauplii: count.nauplii,
                umbrella: count.umbrella ?? null,
                embryos: count.embryos ?? null,
                sampledMl: 1.5,
                harvest: true,
              },
            ],
          }),
      ...written,
    },
    lot: { belief: unseenLot, counted: 0 },
    altitudeM: 0,
    limits: { tooHotC: 29.4, tooCoolC: 24, airLpmPerL: 0.05 },
  }
}
