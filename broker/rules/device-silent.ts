import { Reason, RuleName } from './alarm.ts'
import { Sight } from './condition-timer.ts'
import type { RuleSettings } from './contract.ts'
import type { Rule } from './rule.ts'
import { usualRule } from './rule.ts'
import { duration } from './words.ts'

/** Nothing was heard of the vessel's devices for longer than the limit, s, during a batch. */
export const deviceSilent: Rule = {
  ...usualRule,
  name: RuleName.deviceSilent,
  role: null,
  batchOnly: true,
  raises: Reason.notHeard,
  clears: Reason.heardAgain,
  see: () => Sight.inside,
  words: ({ facts, setting }) => ({
    measured: `Nothing was heard from the device on ${facts.name} for ${duration(silenceMs(setting) + setting.onDelayMs)}, so its water, air and light are not watched.`,
    action: 'Look at the vessel itself: its warmth, its air, its light.',
    then: 'Then, with dry hands, look at the device’s power and at its network.',
  }),
  value: ({ setting }) => (silenceMs(setting) + setting.onDelayMs) / 1000,
}

/** How long is silence, ms. */
export function silenceMs(setting: RuleSettings): number {
  return setting.limit * 1000
}
