import type { Replay } from '../../broker/web/api/replay.ts'
import type { Alarm } from '../../broker/web/api/schemas.ts'
import { isAcknowledging } from './alarms-then.ts'
import { type Spell, wasOnlyAnswered } from './caught-words.ts'
import { beganMs, type Cause } from './diagnosed.ts'

/** What calls for heat. */
const CALLS_FOR_HEAT: readonly Alarm['rule'][] = ['water-heading-hot', 'water-too-hot']
/** A call so long after the damage began still came with it, ms. Own choice. */
const IN_TIME_MS = 60_000

/** When the water was above the limit that was set, by the readings; `undefined` of any other cause. */
export function hotSpells({ kind, evidence }: Pick<Cause, 'kind' | 'evidence'>): Spell[] | undefined {
  if (kind !== 'too-hot') return undefined
  // The limit that a person set comes first, those that are published follow.
  return evidence[0]?.spans.map(({ from, to }) => ({ fromMs: Date.parse(from), toMs: Date.parse(to) }))
}

/** Whether heat was called in time and answered, and went on all the same: then no sooner call would help. */
export function heatAnsweredInVain(
  { batch, to, alarms }: Pick<Replay, 'batch' | 'to' | 'alarms'>,
  cause: Cause,
): boolean {
  const hot = hotSpells(cause)
  const damageMs = beganMs(cause)
  if (!hot || damageMs === null) return false
  const calls = alarms.flatMap(({ alarm, steps }) => {
    const called = steps.find(step => step.calls)
    if (!called || alarm.vesselId !== batch.vesselId || !CALLS_FOR_HEAT.includes(alarm.rule)) return []
    const acknowledgedAt = steps.find(isAcknowledging)?.at ?? null
    const { rule, clearedAt: overAt } = alarm
    return [{ rule, overAt, calledMs: Date.parse(called.at), acknowledgedAt, calls: 1 }]
  })
  const called = calls.sort((a, b) => a.calledMs - b.calledMs)[0]
  if (!called || called.calledMs > damageMs + IN_TIME_MS) return false
  return wasOnlyAnswered({ called }, Date.parse(to), hot)
}

/** What to change before the next batch. Of heat that was called in time and only answered that is not the call. */
export function changeText(cause: Cause, replay: Parameters<typeof heatAnsweredInVain>[0] | null): string {
  if (cause.kind !== 'too-hot') return cause.change
  return replay && heatAnsweredInVain(replay, cause)
    ? `${cause.change} When it calls, end the heat: unplug the lamp. A lamp relay at the vessel’s device opens at the limit by itself.`
    : `${cause.change} And set the alarm limit where it calls in time.`
}
