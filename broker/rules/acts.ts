import { AlarmState, Reason } from './alarm.ts'
import { ALL_RULES } from './all-rules.ts'
import type { RulesSettings, VesselAct, VesselEvent } from './contract.ts'
import type { Draft } from './draft.ts'
import { MOST_HUSH_MS } from './hush.ts'
import { LifeEvent } from './life-cycle.ts'
import { mostShelvedMs } from './shelving.ts'

/** Whether the event is a person's act or a finding about a cause, and no measurement. */
export function isAct(event: VesselEvent): event is VesselAct {
  return event.kind !== 'reading' && event.kind !== 'heard' && event.kind !== 'tick'
}

/** Does to the vessel's alarms what was decided. What cannot be done in the alarm's state changes nothing. */
export function actOn(draft: Draft, act: VesselAct, settings: RulesSettings): void {
  const { atMs } = act
  if (act.kind === 'hush') {
    const untilMs = Math.min(act.untilMs, atMs + MOST_HUSH_MS)
    draft.hush = { reason: act.reason, sinceMs: atMs, untilMs, by: act.by }
    for (const rule of ALL_RULES) draft.suppressIfHushed(rule, atMs)
    return
  }
  if (act.kind === 'end-hush') {
    if (draft.hush !== null) draft.clocks.levelFromMs = atMs
    draft.hush = null
    for (const rule of ALL_RULES) draft.endHush(rule, settings[rule.name], atMs)
    return
  }
  const rule = ALL_RULES.find(({ name }) => name === act.rule)
  if (!rule) return
  const setting = settings[rule.name]
  const alarm = draft.rules[rule.name].alarm
  switch (act.kind) {
    case 'acknowledge': {
      const { by } = act
      draft.act(rule, setting, { event: LifeEvent.acknowledge, reason: Reason.acknowledged, atMs, by })
      return
    }
    case 'reset': {
      const { by } = act
      draft.act(rule, setting, { event: LifeEvent.reset, reason: Reason.reset, atMs, by })
      return
    }
    case 'shelve': {
      if (alarm === null) return
      const { by, once } = act
      const untilMs = Math.min(act.untilMs, atMs + mostShelvedMs(alarm.priority))
      const shelve = { event: LifeEvent.shelve, reason: Reason.shelved, atMs, by, untilMs } as const
      draft.act(rule, setting, shelve, once)
      return
    }
    case 'unshelve':
      draft.unshelve(rule, setting, atMs)
      return
    case 'take-out':
      draft.takeOut(rule, setting, act.by, atMs)
      return
    case 'put-back':
      if (alarm?.state === AlarmState.outOfService) draft.judgeAnew(rule, setting, Reason.putBack, atMs)
      return
    case 'cause':
      if (act.causedBy === null) draft.absolve(rule, setting, atMs)
      else draft.blame(rule, act.causedBy, act.announcedAtMs, atMs)
      return
    case 'lift':
      draft.lift(rule, setting, act.lift, act.isNew, atMs)
      return
  }
}
