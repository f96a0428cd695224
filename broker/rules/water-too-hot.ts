import { Quality } from '../intake/reading.ts'
import { Reason, RuleName } from './alarm.ts'
import { Sight, sightAtOrAbove } from './condition-timer.ts'
import { heatLimit } from './heat-limit.ts'
import type { Rule } from './rule.ts'
import { usualRule } from './rule.ts'
import { temperature, temperaturePair, temperatureStep } from './words.ts'

/** Water at its limit or above, °C, less what its probe may read too little: the limit itself is too hot. Watched without a batch too: a stuck heater is a danger in an empty room as well. */
export const waterTooHot: Rule = {
  ...usualRule,
  name: RuleName.waterTooHot,
  role: 'water',
  batchOnly: false,
  raises: Reason.aboveLimit,
  clears: Reason.backWithinLimit,
  see: (value, quality, facts, setting) =>
    quality === Quality.good
      ? sightAtOrAbove(value, heatLimit(setting, facts).limitC, setting.deadband)
      : Sight.unknown,
  limit: (setting, facts) => heatLimit(setting, facts).limitC,
  words({ facts, setting, value }) {
    const { limitC, earlierC } = heatLimit(setting, facts)
    const [water, limit] = temperaturePair(value, setting.limit)
    const measured = `The water in ${facts.name} is ${water}`
    return {
      measured:
        earlierC > 0 && value !== null && value < setting.limit
          ? `${measured}, and its limit ${limit}; its probe is sure to ${temperatureStep(earlierC)} only, so this is called from ${temperature(limitC)}.`
          : `${measured}, at or above its limit of ${limit}.`,
      action: 'Switch the lamp off at a dry plug; leave the air on.',
      then:
        'A heater likewise; then let the water cool by itself. ' +
        'Never reach into the water while mains equipment is in or over it.',
    }
  },
}
