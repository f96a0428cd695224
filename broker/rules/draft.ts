import type { Alarm, Reason } from './alarm.ts'
import { AlarmState, Reason as Reasons } from './alarm.ts'
import { newestValue } from './clocks.ts'
import type { ConditionTimer } from './condition-timer.ts'
import { dueAt, elapse, IDLE_TIMER } from './condition-timer.ts'
import type { Judgement, RuleSettings, Transition, VesselFacts } from './contract.ts'
import type { Announcement } from './life-cycle.ts'
import { acknowledge, announceAgain, endCondition, LifeEvent, newAlarm } from './life-cycle.ts'
import type { Clocks, RuleState, VesselMemory } from './memory.ts'
import { makeMemory } from './memory.ts'
import type { Rule } from './rule.ts'
import { silenceAt } from './silence.ts'
import { isMoreUrgent } from './urgency.ts'

/** The next memory of a vessel in the making. Made only when something changes; what was given stays as it is. */
export class Draft {
  readonly rules: Record<Rule['name'], RuleState>
  readonly facts: VesselFacts
  readonly #memory: VesselMemory
  readonly #newId: () => string
  #touched = false
  #changes: { readonly atMs: number; readonly transition: Transition }[] = []

  constructor(memory: VesselMemory, facts: VesselFacts, newId: () => string) {
    this.rules = { ...memory.rules }
    this.#memory = memory
    this.facts = facts
    this.#newId = newId
  }

  get clocks(): Clocks {
    return this.#memory.clocks
  }

  watch(rule: Rule, atMs: number): void {
    this.#set(rule, { watchedSinceMs: atMs, timer: IDLE_TIMER, alarm: null })
  }

  unwatch(rule: Rule, reason: Reason, atMs: number): void {
    const { alarm } = this.rules[rule.name]
    if (alarm) this.#note(rule, endCondition(alarm, LifeEvent.withdraw, reason, atMs), false, atMs)
    this.#set(rule, { watchedSinceMs: null, timer: IDLE_TIMER, alarm: null })
  }

  setTimer(rule: Rule, timer: ConditionTimer): void {
    const state = this.rules[rule.name]
    if (timer !== state.timer) this.#set(rule, { ...state, timer })
  }

  /** Lets the rule's delay end if it is due by `byMs`: at its due time, but not before `earliestMs`. */
  flipIfDue(rule: Rule, setting: RuleSettings, byMs: number, earliestMs = -Infinity): void {
    const { timer, alarm } = this.rules[rule.name]
    const flipped = elapse(timer, byMs, setting)
    if (flipped === timer) return
    const atMs = Math.max(dueAt(timer, setting), earliestMs)
    this.setTimer(rule, flipped)
    if (!flipped.active) {
      if (alarm) this.#note(rule, endCondition(alarm, LifeEvent.clear, rule.clears, atMs), false, atMs)
      return
    }
    const says = this.#announcement(rule, setting, atMs)
    const raised = alarm
      ? announceAgain(alarm, LifeEvent.raise, says, rule.raises)
      : newAlarm(
          { id: this.#newId(), vesselId: this.#memory.vesselId, rule: rule.name },
          says,
          rule.raises,
          atMs,
        )
    this.#note(rule, raised, true, atMs)
  }

  /** Announces a standing alarm anew when it has become more urgent than it was announced. */
  escalate(rule: Rule, setting: RuleSettings, atMs: number): void {
    const { alarm, timer } = this.rules[rule.name]
    if (!alarm || !timer.active) return
    if (!isMoreUrgent(rule.priority(this.facts, setting), alarm.priority)) return
    const says = this.#announcement(rule, setting, atMs)
    this.#note(rule, announceAgain(alarm, LifeEvent.escalate, says, rule.raises), true, atMs)
  }

  acknowledge(rule: Rule, by: string, atMs: number): void {
    const { alarm } = this.rules[rule.name]
    if (!alarm) return
    const seen = acknowledge(alarm, by, Reasons.acknowledged, atMs)
    if (seen !== alarm) this.#note(rule, seen, false, atMs)
  }

  /** Sorts what has been noted so far by the time at which it came about. */
  inOrderOfTime(): void {
    if (this.#changes.length > 1) this.#changes.sort((a, b) => a.atMs - b.atMs)
  }

  judgement(batchStartedAtMs: number | null): Judgement {
    const { vesselId, clocks } = this.#memory
    if (!this.#touched && batchStartedAtMs === this.#memory.batchStartedAtMs) return this.#memory.quiet
    return {
      memory: makeMemory({ vesselId, clocks, batchStartedAtMs, rules: this.rules }),
      transitions: this.#changes.map(({ transition }) => transition),
    }
  }

  #note(rule: Rule, alarm: Alarm, raised: boolean, atMs: number): void {
    const standing = alarm.state === AlarmState.normal ? null : alarm
    this.#set(rule, { ...this.rules[rule.name], alarm: standing })
    this.#changes.push({ atMs, transition: { alarm, raised } })
  }

  #set(rule: Rule, state: RuleState): void {
    this.#touched = true
    this.rules[rule.name] = state
  }

  #announcement(rule: Rule, setting: RuleSettings, atMs: number): Announcement {
    const { clocks, facts } = this
    const { watchedSinceMs } = this.rules[rule.name]
    const moment = {
      facts,
      setting,
      value: newestValue(clocks, rule.role),
      quality: clocks.waterQuality,
      silence: silenceAt(watchedSinceMs, clocks, facts, setting, atMs),
    }
    const { measured, action, then } = rule.words(moment)
    return {
      priority: rule.priority(facts, setting),
      action,
      text: `${measured} ${action} ${then}`,
      value: rule.value(moment),
      limit: rule.limit(setting),
    }
  }
}
