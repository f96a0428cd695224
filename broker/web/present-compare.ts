import { wholeCountOf } from '../hatch/counts/whole-count.ts'
import { SOAK_MS } from '../hatch/stage.ts'
import type { BatchEvent } from '../room/event-contract.ts'
import { countAt } from '../room/count-at.ts'
import type { HatchLine } from '../room/hatch-line.ts'
import type { BatchRow, Columns, Role } from '../store/contract.ts'
import type { ComparedBatch } from './api/compare.ts'
import * as present from './present-batch.ts'

export interface ComparedParts {
  readonly batch: BatchRow
  readonly vesselName: string | null
  readonly columns: Partial<Record<Role, Columns>>
  /** `null` where no water was measured. */
  readonly hatch: HatchLine | null
  readonly events: readonly BatchEvent[]
  readonly points: number
}

/** One of the batches that are looked at side by side. */
export function compared({
  batch,
  vesselName,
  columns,
  hatch,
  events,
  points,
}: ComparedParts): ComparedBatch {
  const { startedAtMs } = batch
  const sinceS = (atMs: number) => Math.round((atMs - startedAtMs) / 1000)
  const curve = (role: Role, digits: number) => {
    const of = columns[role]
    return of && of.t.length > 0 ? thin(of, startedAtMs, points, digits) : null
  }
  const reached = (atMs: number | null | undefined) =>
    atMs === null || atMs === undefined ? null : sinceS(atMs)
  const t10S = reached(hatch?.t10Ms)
  return {
    batch: present.batch(batch),
    vesselName,
    waterC: curve('water', 2),
    airLpm: curve('air', 3),
    lightLx: curve('light', 0),
    hatched: hatch && { s: hatch.t.map(sinceS), v: hatch.share.map(share => round(share, 3)) },
    soakedS: Math.min(SOAK_MS / 1000, t10S ?? Infinity),
    t10S,
    t90S: reached(hatch?.t90Ms),
    counted: countedOf(events),
  }
}

const round = (value: number, digits: number): number => Math.round(value * 10 ** digits) / 10 ** digits

/** Neighbouring buckets become one, so that there are no more than `points`; where there are gaps they stay. */
function thin({ t, mean }: Columns, startedAtMs: number, points: number, digits: number) {
  const every = Math.max(1, Math.ceil(t.length / points))
  const s: number[] = []
  const v: number[] = []
  for (let at = 0; at < t.length; at += every) {
    const some = mean.slice(at, at + every)
    s.push(Math.round(((t[at] ?? 0) - startedAtMs) / 1000))
    v.push(round(some.reduce((sum, one) => sum + one, 0) / some.length, digits))
  }
  return { s, v }
}

/** By the count at the harvest, else the last one; by that of the stirred vessel, where what was drawn off was counted beside it. */
export function countedOf(events: readonly BatchEvent[]): ComparedBatch['counted'] {
  const counts = events.filter(
    ({ kind, withdrawnAtMs, estimate }) => kind === 'count' && withdrawnAtMs === null && estimate !== null,
  )
  const count = counts.findLast(event => event.kind === 'count' && event.harvest) ?? counts.at(-1)
  if (!count?.estimate) return null
  const { hatchPercentage, naupliiPerG } = wholeCountOf(counts, count, countAt)?.estimate ?? count.estimate
  return { hatchPercentage: hatchPercentage?.best ?? null, naupliiPerG: Math.round(naupliiPerG.best) }
}
