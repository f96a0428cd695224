import type { Plan, PlannedStart } from '../../plan/contract.ts'
import type { PlanChange } from './contract.ts'

/** Starts nearer than this are the same one, moved. */
const MOVED_UP_TO_MS = 6 * 3_600_000
/** So many changes are told. */
const MOST = 50

type Planned = Pick<Plan, 'starts' | 'harvests' | 'meals'>

/** What is otherwise in a plan than in the one before, in the span that both know: up to where the first ends, from now on. */
export function changesBetween(before: Planned, after: Planned, nowMs: number): PlanChange[] {
  const lastMs = Math.max(nowMs, ...before.meals.map(({ atMs }) => atMs))
  const known = ({ startMs }: PlannedStart) => startMs >= nowMs && startMs <= lastMs
  const changes: PlanChange[] = []
  const left = before.starts.filter(known)
  for (const start of after.starts.filter(known)) {
    const at = nearest(left, start)
    const old = left[at]
    if (!old) {
      changes.push({ kind: 'start-added', vesselId: start.vesselId, atMs: start.startMs })
      continue
    }
    left.splice(at, 1)
    if (old.startMs !== start.startMs) {
      changes.push({
        kind: 'start-moved',
        vesselId: start.vesselId,
        atMs: start.startMs,
        fromMs: old.startMs,
      })
    }
  }
  for (const { vesselId, startMs } of left) changes.push({ kind: 'start-dropped', vesselId, atMs: startMs })
  const harvested = new Map(before.harvests.map(({ batchId, harvestMs }) => [batchId, harvestMs]))
  for (const { batchId, vesselId, harvestMs } of after.harvests) {
    const fromMs = harvested.get(batchId)
    if (fromMs === undefined || fromMs === harvestMs) continue
    changes.push({ kind: 'harvest-moved', vesselId, atMs: harvestMs, fromMs })
  }
  const lacked = new Map(before.meals.map(({ id, lacking }) => [id, lacking > 0]))
  for (const { id, atMs, lacking } of after.meals) {
    const was = lacked.get(id)
    if (was === undefined || was === lacking > 0) continue
    changes.push({ kind: lacking > 0 ? 'meal-lacks' : 'meal-met', feedingId: id, atMs })
  }
  return changes.sort((a, b) => a.atMs - b.atMs).slice(0, MOST)
}

function nearest(from: readonly PlannedStart[], start: PlannedStart): number {
  let best = -1
  let least = MOVED_UP_TO_MS + 1
  for (const [at, one] of from.entries()) {
    const apart = Math.abs(one.startMs - start.startMs)
    if (one.vesselId !== start.vesselId || apart >= least) continue
    best = at
    least = apart
  }
  return best
}
