import { actOn, isAct } from './acts.ts'
import type { Alarm } from './alarm.ts'
import { AlarmState, Reason } from './alarm.ts'
import { ALL_RULES } from './all-rules.ts'
import { isLate, moveOn } from './clocks.ts'
import type { ConditionTimer } from './condition-timer.ts'
import { dueAt, see, Sight } from './condition-timer.ts'
import type {
  Judgement,
  RuleSettings,
  RulesSettings,
  VesselAct,
  VesselEvent,
  VesselFacts,
} from './contract.ts'
import { worseCallAt } from './call-gap.ts'
import { againAfterResume, canEscalate, isAwaited, reAlarmAt } from './calls-again.ts'
import { Draft } from './draft.ts'
import type { Clocks, RuleState, VesselMemory, Watching } from './memory.ts'
import { delaysOf, type JudgedRole, type Rule } from './rule.ts'
import { isAllHeard, moreSilentFrom, noteAssigned, silentFrom } from './silence.ts'
import { isMoreUrgent } from './urgency.ts'

const NONE: readonly Rule[] = []

/**
 * Judges one event of one vessel. Delays that ended before the event are settled first, each at its exact due time, so that a
 * live run, a replay and a run with more or fewer ticks in between decide the same.
 *
 * When nothing changed but the clocks, the memory that was given comes back, and nothing was made. A reading older than the
 * newest of its role, and an event whose time is no number, are passed over. Facts and settings are values: changed ones are new
 * objects, and a tick at the time of the change makes the change count from then.
 */
export function judge(
  memory: VesselMemory,
  facts: VesselFacts,
  event: VesselEvent,
  settings: RulesSettings,
  newId: () => string,
): Judgement {
  const { clocks } = memory
  if (isLate(clocks, event)) return memory.quiet
  const { atMs } = event
  const nowMs = clocks.nowMs > atMs ? clocks.nowMs : atMs
  const batchAtMs = facts.batch === null ? null : facts.batch.startedAtMs
  const otherBatch = batchAtMs !== memory.batchStartedAtMs
  let draft = otherBatch ? new Draft(memory, facts, newId) : null

  const { calm } = memory
  const sameAsBefore = calm.facts === facts && calm.settings === settings
  if (calm.settings !== settings) calm.watching = null
  if (calm.facts !== facts) noteAssigned(clocks, facts, nowMs)
  let calmUntilMs = sameAsBefore ? calm.untilMs : -Infinity
  const rulesToSettle = !otherBatch && nowMs < calmUntilMs ? NONE : ALL_RULES
  if (rulesToSettle !== NONE) calmUntilMs = memory.hush?.untilMs ?? Infinity
  for (const rule of rulesToSettle) {
    const state = memory.rules[rule.name]
    const setting = settings[rule.name]
    const untilMs = rule.watchedUntilMs(facts)
    const wanted = isWanted(rule, facts, setting) && nowMs < untilMs
    if (state.watchedSinceMs === null) {
      if (!wanted) continue
      draft ??= new Draft(memory, facts, newId)
      draft.watch(rule, nowMs)
      continue
    }
    const renewed = rule.batchOnly && otherBatch
    const quietUntilMs = renewed ? -Infinity : quietUntil(rule, state, clocks, facts, setting)
    if (wanted && quietUntilMs > atMs) {
      calmUntilMs = Math.min(calmUntilMs, quietUntilMs, untilMs)
      continue
    }

    draft ??= new Draft(memory, facts, newId)
    const ended = !isWanted(rule, facts, setting)
    if (!ended && !renewed) settle(draft, rule, setting, Math.min(atMs, untilMs - 1))
    if (ended || renewed) {
      const byBatch = rule.batchOnly && (renewed || batchAtMs === null)
      draft.unwatch(rule, byBatch ? Reason.batchEnded : Reason.notWatched, nowMs)
      if (wanted) draft.watch(rule, nowMs)
    } else if (!wanted) {
      draft.unwatch(rule, Reason.notWatched, untilMs)
    } else {
      draft.escalate(rule, setting, nowMs)
    }
  }
  if (rulesToSettle !== NONE && memory.hush !== null && memory.hush.untilMs <= nowMs) {
    draft ??= new Draft(memory, facts, newId)
    draft.hush = null
    clocks.levelFromMs = memory.hush.untilMs
  }
  if (draft) draft.inOrderOfTime()
  else {
    calm.facts = facts
    calm.settings = settings
    calm.untilMs = calmUntilMs
  }

  const awaited = event.kind === 'reading' && isAwaited(clocks, event.role)
  moveOn(clocks, event)
  // The first reading since the service resumed: what waited for it may be due.
  if (awaited && !isAwaited(clocks, event.role)) calm.untilMs = -Infinity
  if (isAct(event)) return acted(draft ?? new Draft(memory, facts, newId), event, settings, batchAtMs)
  if (event.kind === 'tick') return draft === null ? memory.quiet : draft.judgement(batchAtMs)
  const watching =
    draft === null
      ? (calm.watching ??= watchingOf(memory.rules, settings))
      : watchingOf(draft.rules, settings)
  for (const { rule, state, setting } of watching[event.kind === 'heard' ? 'heard' : event.role]) {
    const timer = seen(rule, state, event, clocks, facts, setting)
    if (timer === state.timer && !isDue(rule, timer, facts, setting, atMs)) continue
    draft ??= new Draft(memory, facts, newId)
    draft.setTimer(rule, timer)
    draft.flipIfDue(rule, setting, atMs, atMs)
  }
  return draft === null ? memory.quiet : draft.judgement(batchAtMs)
}

/** Apart, because readings are judged by the million and acts by the dozen. */
function acted(draft: Draft, act: VesselAct, settings: RulesSettings, batchAtMs: number | null): Judgement {
  actOn(draft, act, settings)
  return draft.judgement(batchAtMs)
}

/** The rules that watch. One without a role of its own hears everything. */
function watchingOf(rules: VesselMemory['rules'], settings: RulesSettings): Watching {
  const watched = ALL_RULES.map(rule => ({ rule, state: rules[rule.name], setting: settings[rule.name] }))
  const hearing = (role: JudgedRole | null) =>
    watched.filter(
      ({ rule, state }) => state.watchedSinceMs !== null && (rule.role === role || rule.role === null),
    )
  return {
    water: hearing('water'),
    air: hearing('air'),
    light: hearing('light'),
    level: hearing('level'),
    heard: hearing(null),
  }
}

/** Whether the vessel's facts and the settings let a rule watch. */
function isWanted(rule: Rule, facts: VesselFacts, setting: RuleSettings): boolean {
  if (!setting.enabled || (rule.batchOnly && facts.batch === null)) return false
  const { water, air, light, level = false } = facts.assigned
  return rule.role === null ? water || air || light || level : facts.assigned[rule.role] === true
}

/** What the event shows of the rule's condition, taken into its timer. */
function seen(
  rule: Rule,
  state: RuleState,
  event: VesselEvent,
  clocks: Clocks,
  facts: VesselFacts,
  setting: RuleSettings,
): ConditionTimer {
  const { timer } = state
  if (event.kind !== 'reading' && event.kind !== 'heard') return timer
  if (rule.role === null) return listened(state, clocks, facts, setting)
  if (event.kind === 'heard' || event.role !== rule.role) return timer
  return see(timer, rule.see(event.value, event.quality, facts, setting), event.atMs)
}

/**
 * What a reading that came, or a device that was heard, means for a silence. It is held against the newest time of all: a backlog's
 * old readings end no silence of now. That a silence begins is for time alone to tell, not for an event.
 */
function listened(
  { timer, watchedSinceMs }: RuleState,
  clocks: Clocks,
  facts: VesselFacts,
  setting: RuleSettings,
): ConditionTimer {
  if (timer.active === (timer.pendingSinceMs !== null)) return timer
  const { nowMs } = clocks
  const isOver = timer.active
    ? isAllHeard(clocks, facts, setting, nowMs)
    : silentFrom(watchedSinceMs, clocks, facts, setting) > nowMs
  return isOver ? see(timer, Sight.inside, nowMs) : timer
}

/** Until when time alone changes nothing for a watched rule, Unix ms, exclusive; `-Infinity` when something is due for it now. */
function quietUntil(
  rule: Rule,
  { timer, alarm, watchedSinceMs, silent }: RuleState,
  clocks: Clocks,
  facts: VesselFacts,
  setting: RuleSettings,
): number {
  if (
    alarm !== null &&
    timer.active &&
    canEscalate(alarm) &&
    isMoreUrgent(rule.priority(facts, setting), alarm.priority)
  )
    return -Infinity
  const dueMs = Math.min(
    dueAt(timer, delaysOf(rule, facts, setting)),
    setAsideUntil(alarm),
    calledAgainAt(rule, alarm, timer, clocks, setting),
  )
  if (rule.role !== null) return dueMs
  const silentMs = silentFrom(watchedSinceMs, clocks, facts, setting)
  const moreMs = moreToTellAt(alarm, timer, silent, watchedSinceMs, clocks, facts, setting)
  return Math.min(dueMs, moreMs, see(timer, Sight.beyond, silentMs) === timer ? Infinity : silentMs)
}

function isDue(
  rule: Rule,
  timer: ConditionTimer,
  facts: VesselFacts,
  setting: RuleSettings,
  atMs: number,
): boolean {
  return timer.pendingSinceMs !== null && dueAt(timer, delaysOf(rule, facts, setting)) <= atMs
}

/** When the silence that stands has grown by a sensor that failed another time, Unix ms; `Infinity` while it has not. */
function moreToTellAt(
  alarm: Alarm | null,
  { active }: ConditionTimer,
  silent: RuleState['silent'],
  watchedSinceMs: number | null,
  clocks: Clocks,
  facts: VesselFacts,
  setting: RuleSettings,
): number {
  if (alarm === null || silent === undefined || !active || !canEscalate(alarm)) return Infinity
  return moreSilentFrom(silent, watchedSinceMs, clocks, facts, setting)
}

/** When what is shelved or suppressed for a time comes back, Unix ms; `Infinity` when nothing is. */
function setAsideUntil(alarm: Alarm | null): number {
  if (alarm === null) return Infinity
  if (alarm.state === AlarmState.shelved) return alarm.shelvedUntilMs ?? -Infinity
  if (alarm.state !== AlarmState.suppressed) return Infinity
  if (alarm.suppressedUntilMs !== null) return alarm.suppressedUntilMs
  return alarm.causedBy === null ? -Infinity : Infinity
}

function calledAgainAt(
  { role }: Rule,
  alarm: Alarm | null,
  { active, pendingSinceMs }: ConditionTimer,
  clocks: Clocks,
  setting: RuleSettings,
): number {
  if (alarm === null) return Infinity
  const dueMs = Math.min(reAlarmAt(alarm, active, setting), worseCallAt(alarm))
  return againAfterResume(dueMs, alarm, role, active && pendingSinceMs !== null, clocks)
}

/** Does what time alone brings about by `upToMs`, each thing at its own time, the earliest first. */
function settle(draft: Draft, rule: Rule, setting: RuleSettings, upToMs: number): void {
  // Each turn ends something that had begun, and begins at most one other: a delay, a silence, a shelf, a hush, a call again.
  for (;;) {
    const { timer, alarm, watchedSinceMs, silent } = draft.rules[rule.name]
    const { clocks, facts } = draft
    const dueMs = dueAt(timer, delaysOf(rule, facts, setting))
    const asideMs = setAsideUntil(alarm)
    const againMs = calledAgainAt(rule, alarm, timer, clocks, setting)
    const silentMs = silenceDue(rule, timer, watchedSinceMs, draft, setting)
    const moreMs =
      rule.role === null
        ? moreToTellAt(alarm, timer, silent, watchedSinceMs, clocks, facts, setting)
        : Infinity
    const nextMs = Math.min(dueMs, silentMs, moreMs, asideMs, againMs)
    if (nextMs > upToMs || nextMs === Infinity) return
    if (nextMs === dueMs) draft.flipIfDue(rule, setting, dueMs)
    else if (nextMs === silentMs) draft.setTimer(rule, see(timer, Sight.beyond, silentMs))
    else if (nextMs === moreMs) draft.worsen(rule, setting, moreMs)
    else if (nextMs === asideMs) comeBack(draft, rule, setting, backAt(alarm, asideMs, upToMs))
    else if (alarm !== null && !(worseCallAt(alarm) <= againMs)) draft.reAlarm(rule, setting, againMs)
    else draft.callWorse(rule, setting, againMs)
  }
}

/** At its own end; now, if a clock that was set back has put that before the alarm itself. */
function backAt(alarm: Alarm | null, asideMs: number, upToMs: number): number {
  const sinceMs = alarm === null ? -Infinity : (alarm.announcedAtMs ?? alarm.raisedAtMs)
  return asideMs > sinceMs ? asideMs : upToMs
}

function comeBack(draft: Draft, rule: Rule, setting: RuleSettings, atMs: number): void {
  if (draft.rules[rule.name].alarm?.state === AlarmState.shelved) draft.unshelve(rule, setting, atMs)
  else draft.endHush(rule, setting, atMs)
}

/** When a silence begins that the timer has not seen yet, Unix ms; `Infinity` when none does. */
function silenceDue(
  rule: Rule,
  timer: ConditionTimer,
  watchedSinceMs: number | null,
  { clocks, facts }: Draft,
  setting: RuleSettings,
): number {
  if (rule.role !== null) return Infinity
  const silentMs = silentFrom(watchedSinceMs, clocks, facts, setting)
  return see(timer, Sight.beyond, silentMs) === timer ? Infinity : silentMs
}
