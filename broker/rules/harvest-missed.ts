import { Reason, RuleName } from './alarm.ts'
import { Sight } from './condition-timer.ts'
import type { Rule } from './rule.ts'
import { usualRule } from './rule.ts'
import { duration } from './words.ts'

/**
 * The harvest window has been over for the limit, minutes, and the batch is still open: nauplii live on their yolk and are worth
 * less each hour. Told with the water's readings: a batch that nobody measures has its reminders.
 */
export const harvestMissed: Rule = {
  ...usualRule,
  name: RuleName.harvestMissed,
  role: 'water',
  batchOnly: true,
  raises: Reason.pastHarvest,
  clears: Reason.backWithinLimit,
  see(_value, _quality, { batch }, { limit }) {
    const pastMs = batch?.pastHarvestMs
    if (pastMs === undefined) return Sight.unknown
    if (pastMs >= limit * 60_000) return Sight.beyond
    return pastMs === 0 ? Sight.inside : Sight.between
  },
  value: ({ facts: { batch } }) => Math.round((batch?.pastHarvestMs ?? 0) / 60_000),
  words: ({ facts: { name, batch } }) => ({
    measured: `The harvest window of ${name} has been over for ${duration(batch?.pastHarvestMs ?? 0)}, and its batch is still open: the nauplii live on their yolk and are worth less each hour.`,
    action: 'Harvest it now, and end the batch.',
    then: 'What is not fed at once keeps longest cool and gently aerated. If it is harvested already, only end the batch.',
  }),
}
