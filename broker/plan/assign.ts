import type { Chosen } from './choice.ts'
import type { PlannedHarvest, PlannedStart, PlanInput } from './contract.ts'
import { wholeSteps } from './program.ts'
import type { VesselKind } from './vessel-kinds.ts'
import type { Servable, Way } from './ways.ts'
import { energyLeft, pastBest } from './worth.ts'

const HOUR_MS = 3_600_000

/** A share of a source's nauplii that goes to a demand. */
export interface Share extends Servable {
  readonly source: Way['source']['kind']
  readonly sourceId: string
  /** Before any die. */
  readonly taken: number
  /** Energy when it is fed; `null` where that is not known. */
  readonly energyLeft: number | null
}

export interface Assigned {
  readonly starts: readonly PlannedStart[]
  readonly harvests: readonly PlannedHarvest[]
  readonly shares: readonly Share[]
}

/** Gives each batch one of the vessels of its kind, the one that is free longest by then, and names everything. */
export function assign(input: PlanInput, kinds: readonly VesselKind[], chosen: readonly Chosen[]): Assigned {
  const freeMs = new Map(
    kinds.flatMap(kind => kind.vessels.map(({ id, freeFromMs }) => [id, freeFromMs] as const)),
  )
  const starts: PlannedStart[] = []
  const harvests: PlannedHarvest[] = []
  const shares: Share[] = []
  const share = (one: Chosen, sourceId: string, part: number) => {
    for (const [i, serving] of one.way.servings.entries()) {
      const taken = (one.amounts[i] ?? 0) * part
      if (taken <= 0) continue
      const { source } = one.way
      shares.push({
        ...serving,
        source: source.kind,
        sourceId,
        taken,
        energyLeft: energyLeft(source, serving),
      })
    }
  }
  for (const one of chosen) {
    const { source, firstMs, harvestMs, nightHarvest } = one.way
    if (source.kind === 'held') share(one, source.held.id, 1)
    if (source.kind !== 'running') continue
    const { batch } = source
    share(one, batch.id, 1)
    freeMs.set(batch.vesselId, one.way.freeMs)
    const used = one.amounts.reduce((sum, nauplii) => sum + nauplii, 0)
    harvests.push({
      batchId: batch.id,
      vesselId: batch.vesselId,
      harvestMs,
      firstMs,
      nauplii: batch.nauplii * (one.way.out ?? 1),
      ...(batch.inTheEnd === undefined ? {} : { inTheEnd: batch.inTheEnd }),
      ...(batch.uncounted === undefined ? {} : { uncounted: batch.uncounted }),
      used,
      night: nightHarvest,
      late: firstMs > (batch.untilMs ?? Infinity),
      ...(batch.nauplii > 0 ? pastBest(batch.afterBest, batch.ready.p50, firstMs) : {}),
    })
  }
  const planned = chosen
    .filter(({ way }) => way.source.kind === 'planned')
    .sort(
      (a, b) =>
        a.way.fromMs - b.way.fromMs || a.way.kindAt - b.way.kindAt || a.way.harvestMs - b.way.harvestMs,
    )
  for (const one of planned) {
    const { way } = one
    const { source, kindAt } = way
    const kind = kinds[kindAt]
    if (source.kind !== 'planned' || !kind) continue
    let left = one.steps
    for (let nth = 0; nth < one.times; nth++) {
      const vessel = kind.vessels
        .filter(({ id }) => (freeMs.get(id) ?? Infinity) <= way.fromMs)
        .sort((a, b) => (freeMs.get(a.id) ?? 0) - (freeMs.get(b.id) ?? 0) || (a.id < b.id ? -1 : 1))[0]
      if (!vessel)
        throw new Error(`Cannot give a batch its vessel: none of its kind is free, got ${one.times} at once`)
      freeMs.set(vessel.id, way.freeMs)
      const steps = Math.min(
        Math.ceil(left / (one.times - nth)),
        wholeSteps(kind.litres * kind.maxGpl, input.gramStep),
      )
      left -= steps
      const { outlook, startMs } = source
      const at = (hours: number) => startMs + hours * HOUR_MS
      const id = `${vessel.id}.${startMs.toString(36)}`
      const grams = Number((steps * input.gramStep).toFixed(3))
      const { p10, p50, p90 } = outlook.readyH
      starts.push({
        id,
        vesselId: vessel.id,
        lotId: outlook.lotId,
        goal: outlook.goal,
        startMs,
        grams,
        nauplii: steps * input.gramStep * outlook.naupliiPerG,
        ready: { p10: at(p10), p50: at(p50), p90: at(p90) },
        harvestMs: way.harvestMs,
        freeMs: way.freeMs,
        nightStart: way.nightStart,
        nightHarvest: way.nightHarvest,
        ...pastBest(outlook.afterBest, at(p50), way.firstMs),
      })
      share(one, id, steps / one.steps)
    }
  }
  return { starts, harvests: harvests.sort((a, b) => a.harvestMs - b.harvestMs), shares }
}
