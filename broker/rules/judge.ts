import { Reason } from './alarm.ts'
import { ALL_RULES } from './all-rules.ts'
import { isLate, moveOn } from './clocks.ts'
import type { ConditionTimer } from './condition-timer.ts'
import { dueAt, see, Sight } from './condition-timer.ts'
import type { Judgement, RuleSettings, RulesSettings, VesselEvent, VesselFacts } from './contract.ts'
import { silenceMs } from './device-silent.ts'
import { Draft } from './draft.ts'
import type { Clocks, RuleState, VesselMemory } from './memory.ts'
import type { Rule } from './rule.ts'
import { isMoreUrgent } from './urgency.ts'

/**
 * Judges one event of one vessel. Delays that ended before the event are settled first, each at its exact due time, so that a
 * live run, a replay and a run with more or fewer ticks in between decide the same.
 *
 * When nothing changed but the clocks, the memory that was given comes back, and nothing was made. A reading older than the
 * newest of its role, and an event whose time is no number, are passed over. When facts or settings change, send a tick.
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

  for (const rule of ALL_RULES) {
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
    if (wanted && !renewed && isQuiet(rule, state, clocks, facts, setting, atMs)) continue

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
  draft?.inOrderOfTime()

  moveOn(clocks, event)
  for (const rule of ALL_RULES) {
    const state: RuleState = draft === null ? memory.rules[rule.name] : draft.rules[rule.name]
    if (event.kind === 'acknowledge') {
      if (event.rule !== rule.name || state.alarm === null) continue
      draft ??= new Draft(memory, facts, newId)
      draft.acknowledge(rule, event.by, atMs)
      continue
    }
    if (state.watchedSinceMs === null) continue
    const setting = settings[rule.name]
    const timer = seen(rule, state.timer, event, facts, setting)
    if (timer === state.timer && dueAt(timer, setting) > atMs) continue
    draft ??= new Draft(memory, facts, newId)
    draft.setTimer(rule, timer)
    draft.flipIfDue(rule, setting, atMs, atMs)
  }
  return draft === null ? memory.quiet : draft.judgement(batchAtMs)
}

/** Whether the vessel's facts and the settings let a rule watch. */
function isWanted(rule: Rule, facts: VesselFacts, setting: RuleSettings): boolean {
  if (!setting.enabled || (rule.batchOnly && facts.batch === null)) return false
  const { water, air, light } = facts.assigned
  return rule.role === null ? water || air || light : facts.assigned[rule.role]
}

/** What the event shows of the rule's condition, taken into its timer. */
function seen(
  rule: Rule,
  timer: ConditionTimer,
  event: VesselEvent,
  facts: VesselFacts,
  setting: RuleSettings,
): ConditionTimer {
  if (event.kind !== 'reading' && event.kind !== 'heard') return timer
  if (rule.role === null) return see(timer, Sight.inside, event.atMs)
  if (event.kind === 'heard' || event.role !== rule.role) return timer
  return see(timer, rule.see(event.value, event.quality, facts, setting), event.atMs)
}

/** Whether time alone has changed nothing for a rule by `atMs`. */
function isQuiet(
  rule: Rule,
  state: RuleState,
  clocks: Clocks,
  facts: VesselFacts,
  setting: RuleSettings,
  atMs: number,
): boolean {
  const { timer, alarm } = state
  if (dueAt(timer, setting) <= atMs) return false
  if (rule.role === null) {
    const silentMs = silentFrom(state, clocks, setting)
    if (silentMs <= atMs && see(timer, Sight.beyond, silentMs) !== timer) return false
  }
  return alarm === null || !timer.active || !isMoreUrgent(rule.priority(facts, setting), alarm.priority)
}

/** Does what time alone brings about by `upToMs`: at most an ending delay, a silence beginning, and its delay ending. */
function settle(draft: Draft, rule: Rule, setting: RuleSettings, upToMs: number): void {
  if (rule.role === null) {
    const silentMs = silentFrom(draft.rules[rule.name], draft.clocks, setting)
    if (silentMs <= upToMs) {
      draft.flipIfDue(rule, setting, silentMs)
      draft.setTimer(rule, see(draft.rules[rule.name].timer, Sight.beyond, silentMs))
    }
  }
  draft.flipIfDue(rule, setting, upToMs)
}

/** When the silence that runs becomes too long, Unix ms. It is counted from the watch's beginning at the earliest. */
function silentFrom(state: RuleState, clocks: Clocks, setting: RuleSettings): number {
  const since = state.watchedSinceMs ?? Infinity
  return (clocks.heardAtMs > since ? clocks.heardAtMs : since) + silenceMs(setting)
}
