/** What the plan takes from one source, and what there is at most; `null` where nobody counted. */
export interface PlannedPart {
  readonly planned: number
  readonly most: number | null
}

/**
 * A feeding shared out over its sources as the plan has it, in whole nauplii that add up. What a source has too little for comes from
 * those that have more; what none has stays with the largest, so that it is refused by name instead of being left out.
 */
export function sharedOut(nauplii: number, sources: readonly PlannedPart[]): number[] {
  const whole = Math.round(nauplii)
  const planned = sources.reduce((sum, each) => sum + each.planned, 0)
  const room = ({ most }: PlannedPart) => (most === null ? Infinity : Math.floor(most))
  const parts = sources.map(each =>
    Math.min(room(each), Math.round(planned > 0 ? (whole * each.planned) / planned : 0)),
  )
  let over = whole - parts.reduce((sum, each) => sum + each, 0)
  for (const [at, each] of sources.entries()) {
    const part = parts[at] ?? 0
    const more = Math.max(-part, Math.min(over, room(each) - part))
    parts[at] = part + more
    over -= more
  }
  const largest = parts.indexOf(Math.max(...parts))
  if (largest >= 0) parts[largest] = (parts[largest] ?? 0) + over
  return parts
}
