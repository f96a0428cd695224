import type { Feeding } from './contract.ts'

/** Meals at one moment with one limit of age are one demand. */
export interface Demand {
  readonly atMs: number
  readonly limitH: number
  /** With the spare. */
  readonly nauplii: number
  readonly feedings: readonly Feeding[]
}

export function demandsOf(feedings: readonly Feeding[], spare: number): Demand[] {
  const byKey = new Map<string, Feeding[]>()
  for (const feeding of feedings) {
    const key = `${feeding.atMs}/${feeding.limitH}`
    const same = byKey.get(key)
    if (same) same.push(feeding)
    else byKey.set(key, [feeding])
  }
  return [...byKey.values()]
    .map(same => ({
      atMs: same[0]?.atMs ?? 0,
      limitH: same[0]?.limitH ?? 0,
      nauplii: same.reduce((sum, { nauplii }) => sum + nauplii, 0) * (1 + spare),
      feedings: same,
    }))
    .sort((a, b) => a.atMs - b.atMs || a.limitH - b.limitH)
}
