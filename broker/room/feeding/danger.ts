import type { Danger } from '../../plan/contract.ts'
import { type Alarm, AlarmState, Priority, RuleName } from '../../rules/alarm.ts'

/** What stands, for whoever is to be told. */
export interface StandingDanger extends Danger {
  readonly rule: RuleName
}

/** What may cost a batch however loud it calls. A missed harvest costs food too, but the plan takes it off by itself. */
const COSTS_A_BATCH: readonly RuleName[] = [
  RuleName.airLost,
  RuleName.airFading,
  RuleName.waterTooHot,
  RuleName.waterHeadingHot,
  RuleName.waterLevel,
]
/**
 * It still holds and may cost the batch in its vessel, whether somebody has answered it or put it off, or nobody has. What is hushed for
 * work on the vessel does not; what is silent because another alarm calls for both does.
 */
export function isDanger({ rule, state, priority, clearedAtMs, causedBy }: Alarm): boolean {
  if (clearedAtMs !== null || state === AlarmState.outOfService) return false
  if (state === AlarmState.suppressed && causedBy === null) return false
  return COSTS_A_BATCH.includes(rule) || (priority === Priority.critical && rule !== RuleName.harvestMissed)
}

/** The one of them that came last, as the one that tells best how it stands. */
export function dangerFor(alarms: readonly Alarm[], vesselId: string): StandingDanger | null {
  const alarm = alarms.findLast(each => each.vesselId === vesselId && isDanger(each))
  return alarm ? { alarmId: alarm.id, rule: alarm.rule } : null
}
