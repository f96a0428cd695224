import { Z90 } from '../hatch/normal.ts'
import { expectWater } from '../hatch/thermal/expected-water.ts'
import { ThermalMemory } from '../hatch/thermal/memory.ts'
import type { Columns } from '../store/contract.ts'
import { PLANNED_C } from './batch-forecast.ts'

/** What was expected of the water while a batch ran: one entry a moment in every column, °C. */
export interface ExpectedThen {
  /** Unix ms, rising. */
  readonly t: readonly number[]
  readonly p10: readonly number[]
  readonly p50: readonly number[]
  readonly p90: readonly number[]
}

/** Each moment's expectation was made so long before it: as far ahead as a person could still have done something. Own choice. */
export const LEAD_MS = 30 * 60_000
/** The band has an entry so often, and at most so many: each takes a third of a millisecond, and alarms wait for it. */
const EVERY_MS = 40 * 60_000
const MOST = 60

/** What was expected of the water half an hour ahead, at every moment by what had been measured till then. */
export function expectedThen(
  water: Pick<Columns, 't' | 'mean'> | undefined,
  { litres, fromMs, toMs }: { readonly litres: number; readonly fromMs: number; readonly toMs: number },
): ExpectedThen {
  const out = { t: [] as number[], p10: [] as number[], p50: [] as number[], p90: [] as number[] }
  if (!water || water.t.length === 0) return out
  const memory = new ThermalMemory({ litres, plannedC: PLANNED_C })
  const stepMs = Math.max(EVERY_MS, (toMs - fromMs) / MOST)
  let next = 0
  for (let madeMs = fromMs; madeMs + LEAD_MS <= toMs; madeMs += stepMs) {
    for (; (water.t[next] ?? Infinity) <= madeMs; next++)
      memory.take({ atMs: water.t[next] ?? 0, waterC: water.mean[next] ?? 0 })
    const response = memory.fit()
    const { levelC, spreadC } = expectWater([], madeMs, PLANNED_C, { response }).at(madeMs + LEAD_MS)
    out.t.push(madeMs + LEAD_MS)
    out.p10.push(levelC - Z90 * spreadC)
    out.p50.push(levelC)
    out.p90.push(levelC + Z90 * spreadC)
  }
  return out
}
