import type { FedChange } from '../present.ts'

/**
 * The changes without those that a later one of the same lot makes worthless: of a device, a forecast, a walk or the plan only the newest
 * state matters, and a busy device would otherwise be described once for every message it sends. All else stays, in order.
 */
export function withoutSuperseded(changes: readonly FedChange[]): FedChange[] {
  const newer = new Set<string>()
  const kept: FedChange[] = []
  for (const change of changes.toReversed()) {
    const subject = subjectOf(change)
    if (subject !== undefined) {
      if (newer.has(subject)) continue
      newer.add(subject)
    }
    kept.push(change)
  }
  return kept.reverse()
}

function subjectOf(change: FedChange): string | undefined {
  if (change.kind === 'device') return `device ${change.device.row.name}`
  if (change.kind === 'forecast') return `forecast ${change.vesselId}`
  if (change.kind === 'walk') return `walk ${change.walk.id}`
  return change.kind === 'plan' ? 'plan' : undefined
}
