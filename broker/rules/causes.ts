import { type Alarm, AlarmState } from './alarm.ts'
import { type CauseFacts, isOnItsOwn, type Link, LINKS, sameVessel } from './cause-links.ts'
import type { Lift } from './memory.ts'
import { isMoreUrgent } from './urgency.ts'

export type { CauseFacts, VesselLinks } from './cause-links.ts'

/** Whether what the alarm tells of holds, as far as is known: what returned is no cause, nor what nobody watches. */
const isCause = ({ state }: Alarm): boolean =>
  state === AlarmState.unacknowledged ||
  state === AlarmState.acknowledged ||
  state === AlarmState.shelved ||
  state === AlarmState.suppressed

/** Whether the alarm calls, or would: what a person set aside is left as it is. */
const canBeConsequence = ({ state }: Alarm): boolean =>
  state === AlarmState.unacknowledged || state === AlarmState.acknowledged || state === AlarmState.suppressed

/** Whether people were called for the alarm itself, as far as is known before a step. */
export const callsByItself = ({ state, announcedAtMs, causedBy }: Alarm): boolean =>
  (state === AlarmState.unacknowledged || state === AlarmState.acknowledged) &&
  announcedAtMs !== null &&
  causedBy === null

/** Nobody hears of what is silent for the work on its own vessel: it cannot speak for another one. */
const isSilentForWork = ({ state, causedBy }: Alarm): boolean =>
  state === AlarmState.suppressed && causedBy === null

/**
 * Which standing alarm is a consequence of which: for each that is, the id of its cause. `alarms` are in the order in which they came
 * to stand, and of several that could tell of the same thing it is the first: whoever was called for it need not be called anew. A
 * cause that was once named is kept as long as it holds, and what once called by itself is taken over by no alarm that stood before it. A consequence that calls louder than its cause makes that one as loud, see
 * {@link liftsOf}; the alarms of the whole room stay as loud as they are, and what calls louder than them is told all the same.
 */
export function causesOf(alarms: readonly Alarm[], facts: CauseFacts): ReadonlyMap<string, string> {
  const causes = alarms.filter(isCause)
  const byId = new Map(causes.map(cause => [cause.id, cause]))
  const order = new Map(alarms.map(({ id }, at) => [id, at]))
  const found = new Map<string, string>()
  // A chain has a beginning: nothing is blamed on what is blamed on it.
  const leadsBackTo = (alarm: Alarm, cause: Alarm): boolean => {
    const seen = new Set<string>()
    for (let id: string | null = cause.id; id !== null && !seen.has(id);) {
      if (id === alarm.id) return true
      seen.add(id)
      id = found.get(id) ?? byId.get(id)?.causedBy ?? null
    }
    return false
  }
  for (const alarm of alarms) {
    if (!canBeConsequence(alarm)) continue
    const kept = alarm.causedBy === null ? undefined : byId.get(alarm.causedBy)
    const isKept = kept && linksBetween(kept, alarm).length > 0 && !leadsBackTo(alarm, kept)
    const cause = isKept ? kept : firstCause(alarm)
    if (cause) found.set(alarm.id, cause.id)
  }
  return found

  function firstCause(alarm: Alarm): Alarm | undefined {
    for (const link of LINKS) {
      if (!link.consequences.includes(alarm.rule)) continue
      const first = causes.find(
        cause =>
          cause.id !== alarm.id &&
          !isOnItsOwn(alarm, cause, facts) &&
          linksBetween(cause, alarm).includes(link) &&
          (cause.rule !== alarm.rule || order.get(cause.id)! < order.get(alarm.id)!) &&
          link.holds(cause, alarm, facts) &&
          !leadsBackTo(alarm, cause),
      )
      if (first) return first
    }
    return undefined
  }
}

/**
 * Whoever put a warning off was not told of what it warned of: that calls by itself, if it is as urgent. What is less urgent, the
 * same thing in another vessel, and all that had come of it by then were put off with it.
 */
const isMoreThanWasPutOff = (cause: Alarm, consequence: Alarm): boolean =>
  cause.state === AlarmState.shelved &&
  consequence.causedBy !== cause.id &&
  cause.rule !== consequence.rule &&
  sameVessel(cause, consequence) &&
  !isMoreUrgent(cause.priority, consequence.priority)

/** The kinds of link there can be between these two. */
function linksBetween(cause: Alarm, consequence: Alarm): readonly Link[] {
  if (isSilentForWork(cause) && !sameVessel(cause, consequence)) return []
  const isTooLoud = cause.vesselId === null && isMoreUrgent(consequence.priority, cause.priority)
  return LINKS.filter(
    link =>
      link.causes.includes(cause.rule) &&
      link.consequences.includes(consequence.rule) &&
      ((!isTooLoud && !isMoreThanWasPutOff(cause, consequence)) || link.disbelieved === true),
  )
}

/**
 * For each beginning of a chain, by its id, what the loudest of its consequences tells: the one call for all of them must be as loud
 * as any, and say why. Consequences that are not to be believed add nothing.
 */
export function liftsOf(
  alarms: readonly Alarm[],
  causes: ReadonlyMap<string, string>,
): ReadonlyMap<string, Lift> {
  const byId = new Map(alarms.map(alarm => [alarm.id, alarm]))
  const lifts = new Map<string, Lift>()
  for (const alarm of alarms) {
    let head = alarm
    for (let id = causes.get(alarm.id); id !== undefined; id = causes.get(id)) {
      const cause = byId.get(id)
      if (!cause || linksBetween(cause, head).every(({ disbelieved }) => disbelieved === true)) break
      head = cause
    }
    if (head === alarm) continue
    const { id: by, priority, action, text } = alarm
    const loudest = lifts.get(head.id)
    if (!loudest || isMoreUrgent(priority, loudest.priority))
      lifts.set(head.id, { by, priority, action, text })
  }
  return lifts
}
