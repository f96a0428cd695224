import type { Alarm, Priority, Reason } from './alarm.ts'
import { AlarmState, Reason as Reasons } from './alarm.ts'
import { announcementOf, outOfServiceSays, priorityOf } from './announcement.ts'
import { isTooSoon } from './call-gap.ts'
import { canEscalate } from './calls-again.ts'
import { newestValue } from './clocks.ts'
import type { ConditionTimer } from './condition-timer.ts'
import { afresh, counted, dueAt, elapse, IDLE_TIMER } from './condition-timer.ts'
import type { Judgement, RuleSettings, Transition, VesselFacts } from './contract.ts'
import { isDisturbed, isHushed, type Hush } from './hush.ts'
import type { Announcement, Circumstances, Step } from './life-cycle.ts'
import { LifeEvent, restingAlarm, seenOf, step } from './life-cycle.ts'
import type { Clocks, Lift, RuleState, VesselMemory } from './memory.ts'
import { makeMemory } from './memory.ts'
import { delaysOf, type Rule } from './rule.ts'
import { fellSilentSince, partsOf, silenceAt } from './silence.ts'
import { isMoreUrgent } from './urgency.ts'

/** The next memory of a vessel in the making. Made only when something changes; what was given stays as it is. */
export class Draft {
  readonly rules: Record<Rule['name'], RuleState>
  readonly facts: VesselFacts
  readonly #memory: VesselMemory
  readonly #newId: () => string
  #hush: Hush | null
  #touched = false
  #changes: { readonly atMs: number; readonly transition: Transition }[] = []

  constructor(memory: VesselMemory, facts: VesselFacts, newId: () => string) {
    this.rules = { ...memory.rules }
    this.#memory = memory
    this.facts = facts
    this.#newId = newId
    this.#hush = memory.hush
  }

  get clocks(): Clocks {
    return this.#memory.clocks
  }

  get hush(): Hush | null {
    return this.#hush
  }
  set hush(hush: Hush | null) {
    if (hush === this.#hush) return
    this.#touched = true
    this.#hush = hush
  }

  watch(rule: Rule, atMs: number): void {
    const { alarm } = this.rules[rule.name]
    this.#set(rule, { watchedSinceMs: atMs, timer: IDLE_TIMER, alarm })
  }

  /** What is out of service stays so, watched or not, until a person returns it. */
  unwatch(rule: Rule, reason: Reason, atMs: number): void {
    this.#step(rule, { event: LifeEvent.withdraw, reason, atMs })
    const { alarm } = this.rules[rule.name]
    this.#set(rule, { watchedSinceMs: null, timer: IDLE_TIMER, alarm })
  }

  setTimer(rule: Rule, timer: ConditionTimer): void {
    const state = this.rules[rule.name]
    if (timer !== state.timer) this.#set(rule, { ...state, timer })
  }

  /** Lets the rule's delay end if it is due by `byMs`: at its due time, but not before `earliestMs`. */
  flipIfDue(rule: Rule, setting: RuleSettings, byMs: number, earliestMs = -Infinity): void {
    const { timer } = this.rules[rule.name]
    const delays = delaysOf(rule, this.facts, setting)
    const flipped = elapse(timer, byMs, delays)
    if (flipped === timer) return
    const atMs = Math.max(dueAt(timer, delays), earliestMs)
    this.setTimer(rule, flipped)
    if (flipped.active) this.#raise(rule, setting, atMs)
    else this.#step(rule, { event: LifeEvent.clear, reason: rule.clears, atMs }, setting)
  }

  /** Announces a standing alarm anew when it has become more urgent than it was announced. */
  escalate(rule: Rule, setting: RuleSettings, atMs: number): void {
    const { alarm, timer } = this.rules[rule.name]
    if (!alarm || !timer.active || !canEscalate(alarm)) return
    if (isMoreUrgent(this.#priorityOf(rule, setting), alarm.priority)) this.worsen(rule, setting, atMs)
  }

  /**
   * Tells what a standing alarm has become, anew: at once, or, if the call that waits for its answer is so fresh, to whoever looks,
   * and once the two lie far enough apart to all.
   */
  worsen(rule: Rule, setting: RuleSettings, atMs: number): void {
    const { alarm } = this.rules[rule.name]
    if (!alarm) return
    const says = this.#announcement(rule, setting, atMs)
    if (alarm.state === AlarmState.suppressed) {
      // Nobody hears of it here: whether it may still be silent for its cause is for the room to find out.
      this.#note(rule, { ...alarm, ...says }, false, atMs)
    } else if (isTooSoon(alarm, atMs)) {
      const worseSinceMs = alarm.worseSinceMs ?? atMs
      this.#note(rule, { ...alarm, ...says, worseSinceMs, reason: rule.raises }, false, atMs)
    } else this.#step(rule, { event: LifeEvent.escalate, reason: rule.raises, atMs, says }, setting)
  }

  /** The call that was held back because another lay too near is due. What is over meanwhile needs none. */
  callWorse(rule: Rule, setting: RuleSettings, atMs: number): void {
    const { alarm, watchedSinceMs, lift } = this.rules[rule.name]
    if (!alarm) return
    const { clocks, facts } = this
    const sinceMs = alarm.announcedAtMs ?? alarm.raisedAtMs
    const isSeenWarning = alarm.state === AlarmState.acknowledged
    const isStill = () => fellSilentSince(sinceMs, watchedSinceMs, clocks, facts, setting, atMs)
    const isOver = lift === undefined && (isSeenWarning || (rule.role === null && !isStill()))
    const says = this.#announcement(rule, setting, atMs)
    const reason = isSeenWarning ? Reasons.aboveLimit : rule.raises
    if (isOver) this.#note(rule, { ...alarm, ...says, worseSinceMs: null }, false, atMs)
    else this.#step(rule, { event: LifeEvent.escalate, reason, atMs, says }, setting)
  }

  /** Makes the alarm of a rule as loud as its loudest consequence; it does not grow quiet again while it stands. */
  lift(rule: Rule, setting: RuleSettings, lift: Lift | null, isNew: boolean, atMs: number): void {
    const { alarm, lift: before, ...rest } = this.rules[rule.name]
    if (before !== undefined || lift !== null) this.#set(rule, { ...rest, alarm, ...(lift && { lift }) })
    if (alarm === null) return
    const isLouder = lift !== null && isMoreUrgent(lift.priority, alarm.priority)
    if (isLouder && !isNew) this.escalate(rule, setting, atMs)
    else if (isLouder) this.#note(rule, { ...alarm, ...this.#announcement(rule, setting, atMs) }, false, atMs)
    else if (rule.foretells) this.#tellAsItIs(rule, setting, lift === null, before === undefined, atMs)
  }

  /** What was foretold has come, or has gone again: whoever looks reads what is so. Whoever saw the warning alone is called. */
  #tellAsItIs(rule: Rule, setting: RuleSettings, isGone: boolean, isNew: boolean, atMs: number): void {
    const { alarm, timer } = this.rules[rule.name]
    if (alarm === null || !timer.active) return
    const says = { ...this.#announcement(rule, setting, atMs), priority: alarm.priority }
    // What told of it was set aside: the water is where it was.
    if (isGone && says.value === 0) return
    const reason = isGone ? Reasons.backWithinLimit : Reasons.aboveLimit
    const isToCall = !isGone && isNew && alarm.state === AlarmState.acknowledged
    const worse = isGone || isToCall ? { worseSinceMs: isGone ? null : atMs } : {}
    if (isToCall || says.text !== alarm.text)
      this.#note(rule, { ...alarm, ...says, ...worse, reason }, false, atMs)
  }

  /** Announces anew what was acknowledged long ago and holds still. */
  reAlarm(rule: Rule, setting: RuleSettings, atMs: number): void {
    const says = this.#announcement(rule, setting, atMs)
    this.#step(rule, { event: LifeEvent.reAlarm, reason: Reasons.announcedAgain, atMs, says }, setting)
  }

  /** The shelf is over: what still holds calls at once, because that is what was asked for. */
  unshelve(rule: Rule, setting: RuleSettings, atMs: number): void {
    const { alarm } = this.rules[rule.name]
    if (alarm?.state !== AlarmState.shelved) return
    const says = this.#announcement(rule, setting, atMs)
    this.#call(rule, setting, alarm, { event: LifeEvent.release, reason: Reasons.unshelved, atMs, says })
  }

  /** What a person does to the alarm of a rule. */
  act(rule: Rule, setting: RuleSettings, what: Omit<Step, 'now'>, once = false): void {
    this.#step(rule, what, setting, once)
  }

  /** Takes the rule out of service, whether an alarm of it stands or not. */
  takeOut(rule: Rule, setting: RuleSettings, by: string, atMs: number): void {
    const { alarm } = this.rules[rule.name]
    const taken = { event: LifeEvent.takeOut, reason: Reasons.takenOut, atMs, by } as const
    if (alarm !== null) {
      this.#step(rule, taken, setting)
      return
    }
    const says = outOfServiceSays(rule, this.facts, setting)
    this.#take(rule, this.#resting(rule, says, Reasons.takenOut, atMs), taken)
  }

  /**
   * The suppression, or the time out of service, is over: the condition is judged anew, its delay counted from now. What has no
   * delay and holds is raised at once.
   */
  judgeAnew(rule: Rule, setting: RuleSettings, reason: Reason, atMs: number): void {
    const { alarm, timer } = this.rules[rule.name]
    if (alarm === null) return
    const anew = timer.active && setting.onDelayMs > 0
    if (anew) this.setTimer(rule, afresh(timer, atMs))
    const says = this.#announcement(rule, setting, atMs)
    this.#call(rule, setting, alarm, { event: LifeEvent.release, reason, atMs, says })
  }

  /**
   * The work that hushed the alarm of a rule is over. What is a consequence of another alarm stays silent with it. A delay that the
   * work began runs anew: what was disturbed has the whole of it to come right.
   */
  endHush(rule: Rule, setting: RuleSettings, atMs: number): void {
    const { alarm, timer } = this.rules[rule.name]
    if (isDisturbed(rule.name)) this.setTimer(rule, counted(timer, atMs))
    if (alarm?.state !== AlarmState.suppressed) return
    if (alarm.causedBy === null) this.judgeAnew(rule, setting, Reasons.hushEnded, atMs)
    else if (alarm.suppressedUntilMs !== null) {
      const reason = Reasons.consequence
      this.#note(rule, { ...alarm, suppressedUntilMs: null, reason }, false, atMs)
    }
  }

  /** Suppresses the standing alarm of a rule if the work that goes on disturbs it. */
  suppressIfHushed(rule: Rule, atMs: number): void {
    const { alarm } = this.rules[rule.name]
    if (alarm === null || !isHushed(this.#hush, rule.name, atMs)) return
    const { untilMs } = this.#hush
    const { state, causedBy } = alarm
    if (state === AlarmState.suppressed) {
      if (alarm.suppressedUntilMs !== untilMs)
        this.#note(rule, { ...alarm, suppressedUntilMs: untilMs }, false, atMs)
    } else this.#step(rule, { event: LifeEvent.suppress, reason: Reasons.hushed, atMs, untilMs, causedBy })
  }

  /** Makes the standing alarm of a rule a consequence of another one. */
  blame(rule: Rule, causedBy: string, announcedAtMs: number | null | undefined, atMs: number): void {
    const { alarm } = this.rules[rule.name]
    if (alarm === null || alarm.causedBy === causedBy) return
    if (alarm.state === AlarmState.suppressed) {
      this.#note(rule, { ...alarm, causedBy, reason: Reasons.consequence }, false, atMs)
      return
    }
    const blamed = { event: LifeEvent.suppress, reason: Reasons.consequence, atMs, causedBy } as const
    this.#step(rule, announcedAtMs === undefined ? blamed : { ...blamed, announcedAtMs })
  }

  /** Its cause is gone: unless work hushes it still, it is judged in its own right. */
  absolve(rule: Rule, setting: RuleSettings, atMs: number): void {
    const { alarm } = this.rules[rule.name]
    if (alarm === null || alarm.causedBy === null) return
    if (isHushed(this.#hush, rule.name, atMs)) {
      const { untilMs } = this.#hush
      this.#note(
        rule,
        { ...alarm, causedBy: null, suppressedUntilMs: untilMs, reason: Reasons.hushed },
        false,
        atMs,
      )
    } else this.judgeAnew(rule, setting, Reasons.causeEnded, atMs)
  }

  /** Sorts what has been noted so far by the time at which it came about. */
  inOrderOfTime(): void {
    if (this.#changes.length > 1) this.#changes.sort((a, b) => a.atMs - b.atMs)
  }

  judgement(batchStartedAtMs: number | null): Judgement {
    const { vesselId, clocks } = this.#memory
    if (!this.#touched && batchStartedAtMs === this.#memory.batchStartedAtMs) return this.#memory.quiet
    return {
      memory: makeMemory({ vesselId, clocks, batchStartedAtMs, hush: this.#hush, rules: this.rules }),
      transitions: this.#changes.map(({ transition }) => transition),
    }
  }

  #raise(rule: Rule, setting: RuleSettings, atMs: number): void {
    const says = this.#announcement(rule, setting, atMs)
    const { alarm: standing, seen } = this.rules[rule.name]
    const resting = () => ({
      ...this.#resting(rule, says, rule.raises, atMs),
      ...(seen && atMs - seen.atMs <= COMES_BACK_MS && { seenBefore: seen }),
    })
    const alarm = standing ?? resting()
    this.#call(rule, setting, alarm, { event: LifeEvent.raise, reason: rule.raises, atMs, says })
  }

  /** A step that may call. While work hushes the rule, the call and its suppression are one step. */
  #call(rule: Rule, setting: RuleSettings, alarm: Alarm, what: Omit<Step, 'now'>): void {
    const now = this.#circumstances(rule, alarm, setting)
    const called = step(alarm, { ...what, now })
    if (called === alarm) return
    const { atMs } = what
    const calls = called.state === AlarmState.unacknowledged
    if (calls && isHushed(this.#hush, rule.name, atMs)) {
      const { announcedAtMs } = alarm
      const { untilMs } = this.#hush
      const hush = {
        event: LifeEvent.suppress,
        reason: Reasons.hushed,
        atMs,
        untilMs,
        announcedAtMs,
      } as const
      this.#note(rule, step(called, { ...hush, now }), false, atMs)
    } else this.#note(rule, called, calls, atMs)
  }

  #step(rule: Rule, what: Omit<Step, 'now'>, setting?: RuleSettings, once?: boolean): void {
    const { alarm } = this.rules[rule.name]
    if (alarm) this.#take(rule, alarm, what, this.#circumstances(rule, alarm, setting, once))
  }

  #take(rule: Rule, alarm: Alarm, what: Omit<Step, 'now'>, now = NOTHING_ELSE): void {
    const after = step(alarm, { ...what, now })
    if (after === alarm) return
    this.#note(rule, after, after.state === AlarmState.unacknowledged, what.atMs)
  }

  #circumstances(rule: Rule, alarm: Alarm, setting?: RuleSettings, once = alarm.shelvedOnce): Circumstances {
    return { holds: this.rules[rule.name].timer.active, latching: setting?.latching ?? false, once }
  }

  #note(rule: Rule, alarm: Alarm, raised: boolean, atMs: number): void {
    const { watchedSinceMs, timer, seen: before } = this.rules[rule.name]
    const isOver = alarm.state === AlarmState.normal
    const seen = seenOf(alarm) ?? before
    this.#set(
      rule,
      isOver
        ? { watchedSinceMs, timer, alarm: null, ...(seen && { seen }) }
        : { ...this.rules[rule.name], alarm },
    )
    this.#changes.push({ atMs, transition: { alarm, raised } })
  }

  #set(rule: Rule, state: RuleState): void {
    this.#touched = true
    this.rules[rule.name] = state
  }

  #resting(rule: Rule, says: Announcement, reason: Reason, atMs: number): Alarm {
    const { vesselId } = this.#memory
    return restingAlarm({ id: this.#newId(), vesselId, rule: rule.name }, says, reason, atMs)
  }

  #announcement(rule: Rule, setting: RuleSettings, atMs: number): Announcement {
    const { clocks, facts } = this
    const { watchedSinceMs, lift } = this.rules[rule.name]
    const moment = {
      facts,
      setting,
      value: newestValue(clocks, rule.role),
      quality: clocks.waterQuality,
      silence: silenceAt(watchedSinceMs, clocks, facts, setting, atMs),
    }
    if (rule.role === null) this.#set(rule, { ...this.rules[rule.name], silent: partsOf(moment.silence) })
    return announcementOf(rule, moment, lift)
  }

  #priorityOf(rule: Rule, setting: RuleSettings): Priority {
    const { lift } = this.rules[rule.name]
    return priorityOf(rule, this.facts, setting, lift)
  }
}

/** What comes again within so long of its acknowledgement comes back, ms; later it is another day's trouble. Own choice. */
const COMES_BACK_MS = 12 * 3_600_000
const NOTHING_ELSE: Circumstances = { holds: false, latching: false, once: false }
