import type { Outlook, PlanInput, PlanVessel } from './contract.ts'

/** Vessels that are as good as each other: which of them is taken is decided afterwards. */
export interface VesselKind {
  readonly litres: number
  readonly turnroundMin: number
  readonly maxGpl: number
  readonly vessels: readonly PlanVessel[]
  /** When the first of them may be started. */
  readonly freeFromMs: number
  /** Of the first of them; the others' are the same. */
  readonly outlooks: readonly Outlook[]
}

type Parts = Pick<PlanInput, 'vessels' | 'outlooks' | 'running' | 'nowMs'>

export function vesselKinds({ vessels, outlooks, running, nowMs }: Parts): VesselKind[] {
  const kinds = new Map<string, { kind: Omit<VesselKind, 'vessels' | 'freeFromMs'>; vessels: PlanVessel[] }>()
  for (const one of vessels) {
    // What keeps a vessel with a batch in it is that batch, and nothing else.
    const busy = running.some(({ vesselId }) => vesselId === one.id)
    const vessel = busy ? { ...one, freeFromMs: nowMs } : one
    const own = outlooks.filter(({ vesselId }) => vesselId === vessel.id)
    const { litres, turnroundMin, maxGpl } = vessel
    const key = JSON.stringify([
      litres,
      turnroundMin,
      maxGpl,
      own.map(one => ({ ...one, vesselId: '', afterBest: undefined })),
    ])
    const kind = kinds.get(key)
    if (kind) kind.vessels.push(vessel)
    else kinds.set(key, { kind: { litres, turnroundMin, maxGpl, outlooks: own }, vessels: [vessel] })
  }
  return [...kinds.values()].map(({ kind, vessels: alike }) => ({
    ...kind,
    vessels: alike,
    freeFromMs: Math.min(...alike.map(({ freeFromMs }) => freeFromMs)),
  }))
}
