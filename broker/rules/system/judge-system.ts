import type { Alarm, SystemRuleName } from '../alarm.ts'
import { AlarmState, Reason } from '../alarm.ts'
import type { ConditionTimer } from '../condition-timer.ts'
import { elapse, IDLE_TIMER, see, Sight } from '../condition-timer.ts'
import type { RuleSettings, RulesSettings, Transition } from '../contract.ts'
import { isTooSoon, worseCallAt } from '../call-gap.ts'
import { canEscalate, reAlarmAt } from '../calls-again.ts'
import type { Announcement, Step } from '../life-cycle.ts'
import { LifeEvent, restingAlarm, step } from '../life-cycle.ts'
import { mostShelvedMs } from '../shelving.ts'
import { ALL_SYSTEM_RULES } from './all-system-rules.ts'
import type { SystemFacts, SystemJudgement, SystemMemory, SystemRule, SystemState } from './contract.ts'

/** What a person does to an alarm of the system's own. */
export type SystemAct =
  | { readonly kind: 'acknowledge' | 'reset' | 'take-out'; readonly by: string }
  | { readonly kind: 'unshelve' | 'put-back' }
  | { readonly kind: 'shelve'; readonly by: string; readonly untilMs: number; readonly once: boolean }

interface Parts {
  readonly facts: SystemFacts
  readonly settings: RulesSettings
  readonly nowMs: number
  readonly newId: () => string
}

/** Looks at the facts as they are now. A rule that is switched off withdraws what it had raised. */
export function judgeSystem(memory: SystemMemory, parts: Parts): SystemJudgement {
  const transitions: Transition[] = []
  let next = memory
  for (const rule of ALL_SYSTEM_RULES) {
    const state = memory[rule.name]
    const judged = judgeOne(rule, state, parts)
    if (judged === state) continue
    next = { ...next, [rule.name]: standing(judged) }
    const { alarm } = judged
    if (alarm !== null && alarm !== state.alarm) transitions.push(told(alarm, state.alarm))
  }
  return { memory: next, transitions }
}

/** Does to a standing alarm what a person decided; what cannot be done in its state changes nothing. */
export function actOnSystem(
  memory: SystemMemory,
  name: SystemRuleName,
  act: SystemAct,
  parts: Parts,
): SystemJudgement {
  const rule = ALL_SYSTEM_RULES.find(each => each.name === name)
  const state = memory[name]
  if (!rule) return { memory, transitions: [] }
  const { facts, nowMs, newId, settings } = parts
  const says = announcement(rule, facts, settings[name], nowMs)
  const alarm =
    state.alarm ?? (act.kind === 'take-out' ? resting(rule, says, Reason.takenOut, nowMs, newId) : null)
  if (alarm === null) return { memory, transitions: [] }
  const after = taken(alarm, stepOf(act, alarm, says, nowMs), state.timer, settings[name], act)
  if (after === alarm) return { memory, transitions: [] }
  return {
    memory: { ...memory, [name]: standing({ ...state, alarm: after }) },
    transitions: [told(after, alarm)],
  }
}

function judgeOne(
  rule: SystemRule,
  state: SystemState,
  { facts, settings, nowMs, newId }: Parts,
): SystemState {
  const setting = settings[rule.name]
  const { alarm } = state
  if (!setting.enabled) {
    if (alarm === null && state.timer === IDLE_TIMER) return state
    const gone =
      alarm &&
      taken(alarm, { event: LifeEvent.withdraw, reason: Reason.notWatched, atMs: nowMs }, IDLE_TIMER, setting)
    return { timer: IDLE_TIMER, alarm: gone }
  }
  const sight = rule.see(facts, setting, nowMs)
  const timer = elapse(see(state.timer, sight, nowMs), nowMs, setting)
  const says = (atMs = nowMs) => announcement(rule, facts, setting, atMs)
  const about = timer.active && rule.about ? { about: rule.about(facts) } : {}
  if (timer.active && !state.timer.active) {
    const from = alarm ?? resting(rule, says(), rule.raises, nowMs, newId)
    const raise = { event: LifeEvent.raise, reason: rule.raises, atMs: nowMs, says: says() }
    return { timer, alarm: taken(from, raise, timer, setting), ...about }
  }
  if (alarm !== null) {
    const changed =
      !timer.active && state.timer.active
        ? taken(alarm, { event: LifeEvent.clear, reason: rule.clears, atMs: nowMs }, timer, setting)
        : byTime(alarm, timer, setting, says, nowMs)
    if (changed !== alarm) return { timer, alarm: changed, ...about }
    if (about.about && timer.active && sight !== Sight.inside) {
      const hasMore = about.about.length > (state.about ?? about.about).length
      const grown = following(rule, alarm, hasMore, { timer, setting, says, nowMs })
      if (grown !== alarm) return { timer, alarm: grown, ...about }
    }
  }
  return timer === state.timer ? state : { timer, alarm, ...(timer.active && state.about ? about : {}) }
}

/**
 * What an alarm tells while it stands follows what it is about: without a call for what joined it or is well again, and with one for
 * what came later, if that does not follow too soon on a call that nobody has answered.
 */
function following(
  rule: SystemRule,
  alarm: Alarm,
  hasMore: boolean,
  now: {
    readonly timer: ConditionTimer
    readonly setting: RuleSettings
    readonly says: (atMs?: number) => Announcement
    readonly nowMs: number
  },
): Alarm {
  const { timer, setting, says, nowMs } = now
  const { announcedAtMs, raisedAtMs, saidAtMs = -Infinity, priority } = alarm
  const calls = { event: LifeEvent.escalate, reason: rule.raises, atMs: nowMs, says: says() }
  if ((hasMore && canEscalate(alarm) && !isTooSoon(alarm, nowMs)) || worseCallAt(alarm) <= nowMs)
    return taken(alarm, calls, timer, setting)
  const worse = hasMore && canEscalate(alarm) ? { worseSinceMs: alarm.worseSinceMs ?? nowMs } : {}
  if (!hasMore && says(Math.max(saidAtMs, announcedAtMs ?? raisedAtMs)).text === alarm.text) return alarm
  return { ...alarm, ...says(), priority, ...worse, saidAtMs: nowMs }
}

/** A shelf that is over, and what was acknowledged long ago and holds still. */
function byTime(
  alarm: Alarm,
  timer: ConditionTimer,
  setting: RuleSettings,
  says: () => Announcement,
  atMs: number,
): Alarm {
  if (alarm.state === AlarmState.shelved && (alarm.shelvedUntilMs ?? -Infinity) <= atMs)
    return taken(
      alarm,
      { event: LifeEvent.release, reason: Reason.unshelved, atMs, says: says() },
      timer,
      setting,
    )
  if (reAlarmAt(alarm, timer.active, setting) <= atMs)
    return taken(
      alarm,
      { event: LifeEvent.reAlarm, reason: Reason.announcedAgain, atMs, says: says() },
      timer,
      setting,
    )
  return alarm
}

function stepOf(act: SystemAct, alarm: Alarm, says: Announcement, atMs: number): Omit<Step, 'now'> {
  switch (act.kind) {
    case 'acknowledge':
      return { event: LifeEvent.acknowledge, reason: Reason.acknowledged, atMs, by: act.by }
    case 'reset':
      return { event: LifeEvent.reset, reason: Reason.reset, atMs, by: act.by }
    case 'take-out':
      return { event: LifeEvent.takeOut, reason: Reason.takenOut, atMs, by: act.by }
    case 'put-back':
      return { event: LifeEvent.release, reason: Reason.putBack, atMs, says }
    case 'unshelve':
      return { event: LifeEvent.release, reason: Reason.unshelved, atMs, says }
    case 'shelve': {
      const untilMs = Math.min(act.untilMs, atMs + mostShelvedMs(alarm.priority))
      return { event: LifeEvent.shelve, reason: Reason.shelved, atMs, by: act.by, untilMs }
    }
  }
}

function taken(
  alarm: Alarm,
  what: Omit<Step, 'now'>,
  timer: ConditionTimer,
  setting: RuleSettings,
  act?: SystemAct,
): Alarm {
  // Each way back belongs to one state: what is shelved is not put back, what is out of service not unshelved.
  if (act?.kind === 'unshelve' && alarm.state !== AlarmState.shelved) return alarm
  if (act?.kind === 'put-back' && alarm.state !== AlarmState.outOfService) return alarm
  const once = act?.kind === 'shelve' ? act.once : alarm.shelvedOnce
  return step(alarm, { ...what, now: { holds: timer.active, latching: setting.latching ?? false, once } })
}

function resting(
  rule: SystemRule,
  says: Announcement,
  reason: Reason,
  atMs: number,
  newId: () => string,
): Alarm {
  return restingAlarm({ id: newId(), vesselId: null, rule: rule.name }, says, reason, atMs)
}

function announcement(
  rule: SystemRule,
  facts: SystemFacts,
  setting: RuleSettings,
  nowMs: number,
): Announcement {
  const { measured, action, then } = rule.words(facts, setting, nowMs)
  return {
    priority: setting.priority,
    action,
    text: `${measured} ${action} ${then}`,
    value: rule.value(facts, nowMs),
    limit: rule.limit(setting),
    ...(rule.takes && { takes: rule.takes(facts) }),
  }
}

function told(alarm: Alarm, before: Alarm | null): Transition {
  const { state, announcedAtMs } = alarm
  return { alarm, raised: state === AlarmState.unacknowledged && announcedAtMs !== before?.announcedAtMs }
}

function standing(state: SystemState): SystemState {
  return state.alarm?.state === AlarmState.normal ? { ...state, alarm: null } : state
}
