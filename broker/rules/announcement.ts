import type { Priority } from './alarm.ts'
import type { RuleSettings, VesselFacts } from './contract.ts'
import type { Announcement } from './life-cycle.ts'
import type { Lift } from './memory.ts'
import type { Moment, Rule } from './rule.ts'
import { isMoreUrgent } from './urgency.ts'

/** How loud an alarm of a rule is now: as its loudest consequence, where there is one that is louder. */
export function priorityOf(
  rule: Rule,
  facts: VesselFacts,
  setting: RuleSettings,
  lift: Lift | undefined,
): Priority {
  const priority = rule.priority(facts, setting)
  return lift && isMoreUrgent(lift.priority, priority) ? lift.priority : priority
}

/** What an alarm of a rule tells at a moment. */
export function announcementOf(rule: Rule, moment: Moment, lift: Lift | undefined): Announcement {
  const { facts, setting } = moment
  const { measured, action, then } = rule.words(moment)
  const priority = rule.priority(facts, setting)
  const [value, limit] = [rule.value(moment), rule.limit(setting, facts, moment)]
  // The worst that came of it says what to do; how it began is told after.
  return lift && isMoreUrgent(lift.priority, priority)
    ? { priority: lift.priority, action: lift.action, text: `${lift.text} ${measured}`, value, limit }
    : { priority, action, text: `${measured} ${action} ${then}`, value, limit }
}

const OUT_OF_SERVICE = {
  action: 'Return it to service when it is needed again.',
  text: 'Nobody is called for this. Return it to service when it is needed again. Until then look yourself.',
} as const

/** What is told of a rule that was taken out of service while nothing was wrong. */
export function outOfServiceSays(rule: Rule, facts: VesselFacts, setting: RuleSettings): Announcement {
  const priority = rule.priority(facts, setting)
  return { ...OUT_OF_SERVICE, priority, value: null, limit: rule.limit(setting, facts) }
}
