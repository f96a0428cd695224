import { Quality } from '../intake/reading.ts'
import { Reason, RuleName } from './alarm.ts'
import { Sight } from './condition-timer.ts'
import type { Rule } from './rule.ts'
import { usualRule } from './rule.ts'

/**
 * The water probe tells of something that is not the water: it fell out, or the water has left it. It answers well, so its words
 * are others than a fault's. A fault tells nothing of where it hangs. Only during a batch: a vessel that is emptied has its probe
 * in the air as well.
 */
export const probeOutOfWater: Rule = {
  ...usualRule,
  name: RuleName.probeOutOfWater,
  role: 'water',
  batchOnly: true,
  raises: Reason.badQuality,
  clears: Reason.goodAgain,
  see(value, quality) {
    if (quality === Quality.outOfWater) return Sight.beyond
    return quality === Quality.good && value !== null ? Sight.inside : Sight.unknown
  },
  words: ({ facts }) => ({
    measured: `The water probe of ${facts.name} fell faster than water can: it hangs in the air, or the water has gone. So its heat is not watched.`,
    action: 'See that the vessel still holds its water.',
    then: 'Then pull the mains plugs, put the probe’s tip back under water, and fix it there.',
  }),
  value: () => null,
  limit: () => null,
}
