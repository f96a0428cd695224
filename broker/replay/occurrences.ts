import type { Alarm, RuleName } from '../rules/alarm.ts'
import type { Occurrence } from './contract.ts'
import type { ReplayedStep } from './replay.ts'

/** Gathers the steps of a replay into alarms, each with its calls. */
export class Occurrences {
  readonly #byId = new Map<string, { alarm: Alarm; calledAtMs: number[] }>()

  readonly take = ({ alarm, calls }: ReplayedStep): void => {
    const known = this.#byId.get(alarm.id)
    const one = known ?? { alarm, calledAtMs: [] }
    if (!known) this.#byId.set(alarm.id, one)
    one.alarm = alarm
    if (calls) one.calledAtMs.push(alarm.announcedAtMs ?? alarm.raisedAtMs)
  }

  /** Those of a vessel, and of the room as a whole, that were raised within a span, oldest first. */
  of(vesselId: string, fromMs: number, toMs: number): Occurrence[] {
    const rules = new Map([...this.#byId].map(([id, { alarm }]) => [id, alarm.rule]))
    return [...this.#byId.values()]
      .filter(({ alarm }) => alarm.vesselId === vesselId || alarm.vesselId === null)
      .filter(({ alarm: { raisedAtMs } }) => raisedAtMs >= fromMs && raisedAtMs < toMs)
      .map(({ alarm, calledAtMs }) => occurrence(alarm, calledAtMs, rules))
      .sort((a, b) => a.raisedAtMs - b.raisedAtMs)
  }
}

function occurrence(
  alarm: Alarm,
  calledAtMs: readonly number[],
  rules: ReadonlyMap<string, RuleName>,
): Occurrence {
  const { vesselId, rule, priority, raisedAtMs, clearedAtMs, state, reason, causedBy, value } = alarm
  const cause = causedBy === null ? null : (rules.get(causedBy) ?? null)
  return {
    vesselId,
    rule,
    priority,
    raisedAtMs,
    calledAtMs,
    clearedAtMs,
    state,
    reason,
    causedBy: cause,
    value,
  }
}
