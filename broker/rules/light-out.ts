import { Quality } from '../intake/reading.ts'
import { Reason, RuleName } from './alarm.ts'
import { Sight, sightBelow } from './condition-timer.ts'
import type { Rule } from './rule.ts'
import { usualRule } from './rule.ts'

/**
 * How long after the start darkness is a fault, ms: 6 h or less of light in the initial hours triggers hatching fully
 * (J. Crustacean Biology, doi 10.1163/1937240x-00002454). Later a dark lamp matters only as a heater.
 */
export const LIGHT_MATTERS_MS = 6 * 3_600_000

/** Too little light on the vessel in the first hours of a batch, lx. */
export const lightOut: Rule = {
  ...usualRule,
  name: RuleName.lightOut,
  role: 'light',
  batchOnly: true,
  raises: Reason.belowLimit,
  clears: Reason.backWithinLimit,
  watchedUntilMs: ({ batch }) => (batch === null ? Infinity : batch.startedAtMs + LIGHT_MATTERS_MS),
  see: (value, quality, _facts, { limit, deadband }) =>
    quality === Quality.good ? sightBelow(value, limit, deadband) : Sight.unknown,
  words: ({ facts, setting, value }) => ({
    measured:
      `The light on ${facts.name} is ${value === null ? 'not known' : `${Math.round(value)} lx`}, below ${Math.round(setting.limit)} lx, ` +
      'in the first hours, when light sets the hatch going.',
    action: 'Bring another lamp, or see why this one is out.',
    then: 'Switch it off at a dry plug and let it cool before you touch the bulb.',
  }),
}
