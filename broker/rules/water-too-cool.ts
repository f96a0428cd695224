import { Quality } from '../intake/reading.ts'
import { Reason, RuleName } from './alarm.ts'
import { Sight, sightBelow } from './condition-timer.ts'
import type { Rule } from './rule.ts'
import { usualRule } from './rule.ts'
import { temperaturePair } from './words.ts'

/** Water below its limit during a batch, °C: it costs hours, not the batch. */
export const waterTooCool: Rule = {
  ...usualRule,
  name: RuleName.waterTooCool,
  role: 'water',
  batchOnly: true,
  raises: Reason.belowLimit,
  clears: Reason.backWithinLimit,
  see: (value, quality, _facts, { limit, deadband }) =>
    quality === Quality.good ? sightBelow(value, limit, deadband) : Sight.unknown,
  words({ facts, setting, value }) {
    const [water, limit] = temperaturePair(value, setting.limit)
    return {
      measured: `The water in ${facts.name} is ${water}, below ${limit}: the hatch is slower, not dead.`,
      action: 'See that its lamp or heater is on and near enough.',
      then: 'Warm the water gently; fix a hot lamp firmly, well away from plastic and from the splash.',
    }
  },
}
