import { Quality } from '../intake/reading.ts'
import { Reason, RuleName } from './alarm.ts'
import { Sight } from './condition-timer.ts'
import type { HeadingLook, VesselFacts } from './contract.ts'
import type { Rule } from './rule.ts'
import { usualRule } from './rule.ts'
import { tooHot } from './water-too-hot.ts'
import { minutesLeft, temperature } from './words.ts'

/**
 * The water is on its way over its heat limit and may cross it within the limit, minutes, as the vessel's own response to heater and
 * room tells: the early end of the band counts, if the late end crosses too; at two looks one after the other. Watched without a
 * batch too, because heat is.
 */
export const waterHeadingHot: Rule = {
  ...usualRule,
  name: RuleName.waterHeadingHot,
  role: 'water',
  batchOnly: false,
  foretells: true,
  raises: Reason.headingForLimit,
  clears: Reason.noLongerHeading,
  see(value, quality, { heading }, { limit, deadband }) {
    if (quality !== Quality.good || value === null || heading === undefined) return Sight.unknown
    // There already: what was called for stays called for, and water-too-hot says the rest.
    if (value >= heading.limitC) return Sight.between
    const { newest, before } = heading
    if (before === null) return Sight.unknown
    // Mostly it goes nowhere. Where it is too hot still, that is not over either: else it would be called for once more, while it cools.
    const over = value >= (heading.coolC ?? heading.limitC) ? Sight.between : Sight.inside
    if (newest.at === null && before.at === null) return over
    if (soonestTo(newest) <= limit && soonestTo(before) <= limit) return Sight.beyond
    const clearFrom = limit + deadband
    return minutesTo(newest) > clearFrom && minutesTo(before) > clearFrom ? over : Sight.between
  },
  value: ({ facts, value }) => (isThere(value, facts.heading?.limitC) ? 0 : finite(minutesLeftOf(facts))),
  words({ facts, value }) {
    const minutes = minutesLeftOf(facts)
    const limitC = facts.heading?.limitC
    const limit = limitC === undefined ? 'its limit' : `its limit of ${temperature(limitC)}`
    if (limitC !== undefined && isThere(value, limitC)) return tooHot(facts.name, value, limitC)
    const now = value === null ? 'is warming' : `is ${temperature(value)}`
    const course = Number.isFinite(minutes)
      ? `${value === null ? '' : ' and warming'}: it crosses ${limit} in about ${minutesLeft(minutes)} if nothing changes.`
      : `${value === null ? '' : ', near'} ${limit}, and goes no further towards it now.`
    return {
      measured: `The water in ${facts.name} ${now}${course}`,
      action: 'Move the lamp back or switch it off at a dry plug.',
      then:
        'See whether a thermostat or a dimmer is stuck. Leave the air on. ' +
        'Never reach into the water while mains equipment is in or over it.',
    }
  },
}

/** It is where it was heading for. */
function isThere(value: number | null, limitC: number | undefined): boolean {
  return value !== null && limitC !== undefined && value >= limitC
}

/** From the look to the middle of the crossing; `Infinity` when it does not cross, or perhaps never. */
function minutesTo({ atMs, at }: HeadingLook): number {
  return at === null || !Number.isFinite(at.p90) ? Infinity : Math.max(0, at.p50 - atMs) / 60_000
}

/** From the look to the early end of the crossing; `Infinity` as above. */
function soonestTo(look: HeadingLook): number {
  return minutesTo(look) === Infinity
    ? Infinity
    : Math.max(0, (look.at?.p10 ?? Infinity) - look.atMs) / 60_000
}

function minutesLeftOf({ heading }: VesselFacts): number {
  return heading === undefined ? Infinity : minutesTo(heading.newest)
}

function finite(minutes: number): number | null {
  // 0 is for what is there.
  return Number.isFinite(minutes) ? Math.max(1, Math.round(minutes)) : null
}
