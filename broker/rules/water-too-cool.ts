import { Quality } from '../intake/reading.ts'
import { Reason, RuleName } from './alarm.ts'
import { Sight, sightBelow } from './condition-timer.ts'
import type { Rule } from './rule.ts'
import { usualRule } from './rule.ts'
import { duration, temperaturePair } from './words.ts'

/**
 * Water below its limit during a batch, °C, where that matters: it costs hours, not the batch, so nobody is called before the
 * harvest comes later by what is set, nor while the water is on its way back above the limit by itself. Without a forecast nothing is known of that, and the limit alone decides.
 */
export const waterTooCool: Rule = {
  ...usualRule,
  name: RuleName.waterTooCool,
  role: 'water',
  batchOnly: true,
  raises: Reason.belowLimit,
  clears: Reason.backWithinLimit,
  see(value, quality, { batch }, { limit, deadband, leastCostMs = 0 }) {
    if (quality !== Quality.good) return Sight.unknown
    const sight = sightBelow(value, limit, deadband)
    if (sight !== Sight.beyond || batch === null) return sight
    const { coolCostMs = Infinity, expectedC = -Infinity } = batch
    return coolCostMs < leastCostMs || expectedC >= limit ? Sight.between : sight
  },
  words({ facts, setting, value }) {
    const [water, limit] = temperaturePair(value, setting.limit)
    const costMs = facts.batch?.coolCostMs
    const later =
      costMs === undefined
        ? 'the hatch is slower, not dead'
        : `the hatch is slower, not dead, and at this rate the harvest comes about ${duration(costMs)} later`
    return {
      measured: `The water in ${facts.name} is ${water}, below ${limit}: ${later}.`,
      action: 'See that its lamp or heater is on and near enough.',
      then: 'Warm the water gently; fix a hot lamp firmly, well away from plastic and from the splash.',
    }
  },
}
