import { STOPS_ABOVE_C } from '../hatch/development/thermal-clock.ts'
import { Quality } from '../intake/reading.ts'
import { Reason, RuleName } from './alarm.ts'
import { Sight, sightAtOrAbove } from './condition-timer.ts'
import { heatLimit } from './heat-limit.ts'
import type { Rule, Words } from './rule.ts'
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
    if (!(earlierC > 0) || value === null || value >= setting.limit)
      return tooHot(facts.name, value, setting.limit)
    const [water, limit] = temperaturePair(value, setting.limit)
    return {
      ...tooHot(facts.name, value, setting.limit),
      measured: `The water in ${facts.name} is ${water}, and its limit ${limit}; its probe is sure to ${temperatureStep(earlierC)} only, so this is called from ${temperature(limitC)}.`,
    }
  },
}

/**
 * What is told of water that is too hot, by whichever rule. The limit that calls is the trade's cautious one (29.4 °C, common practice, no
 * source); where hatching stops is published (FAO Fisheries Technical Paper 428, Annex 4). Whoever is called reads both.
 */
export function tooHot(name: string, waterC: number | null, limitC: number): Words {
  const [water, limit] = temperaturePair(waterC, limitC)
  return {
    measured:
      `The water in ${name} is ${water}, at or above its alarm limit of ${limit}. ` +
      (waterC !== null && waterC > STOPS_ABOVE_C
        ? 'Hatching stops above about 33 °C (91 °F), and it is above that.'
        : 'Hatching stops only above about 33 °C (91 °F).'),
    action: 'Switch the lamp off at a dry plug; leave the air on.',
    then:
      'A heater likewise; then let the water cool by itself. ' +
      'Never reach into the water while mains equipment is in or over it.',
  }
}
