import { Quality } from '../intake/reading.ts'
import { Priority, Reason, RuleName } from './alarm.ts'
import { Sight } from './condition-timer.ts'
import type { AirCourse } from './contract.ts'
import { beforeHatch, forNauplii, hasNauplii, oxygenMinutes } from './nauplii.ts'
import type { Rule } from './rule.ts'
import { usualRule } from './rule.ts'
import { airFlow, duration, minutesLeft } from './words.ts'

/** Air that lasts so long is seen to in the day's work; so short, and it is a matter of now. Minutes; own choice. */
const SOON_MIN = 6 * 60
const NOW_MIN = 60

/**
 * The air has been falling steadily and is below the limit, per cent of what it was when it last stood steady: a torn membrane, a
 * clogging stone. How loud it calls goes by what is left: until the air is gone at this pace, and then the oxygen in the water.
 */
export const airFading: Rule = {
  ...usualRule,
  name: RuleName.airFading,
  role: 'air',
  batchOnly: true,
  raises: Reason.falling,
  clears: Reason.steadyAgain,
  see(_value, quality, { air }, { limit, deadband }) {
    if (quality !== Quality.good || air === undefined) return Sight.unknown
    const percent = (100 * air.now) / air.settled
    if (percent >= limit + deadband) return Sight.inside
    // Low, but it stands: it was turned down, and what stands is soon the new settled air.
    if (!(air.fallPerH > 0)) return Sight.between
    return percent < limit ? Sight.beyond : Sight.between
  },
  priority(facts, setting) {
    const minutes = untilGone(facts.air) + (oxygenMinutes(facts) ?? 0)
    if (minutes <= NOW_MIN && hasNauplii(facts)) return Priority.critical
    return minutes <= SOON_MIN || hasNauplii(facts) ? setting.priority : Priority.low
  },
  value: ({ facts: { air } }) => (air === undefined ? null : Math.round((100 * air.now) / air.settled)),
  words({ facts }) {
    const { air, litres, name } = facts
    const course = air === undefined ? 'is falling' : courseOf(air, litres)
    const goneMin = untilGone(air)
    const gone = Number.isFinite(goneMin) ? `; at this pace it is gone in about ${minutesLeft(goneMin)}` : ''
    const left = hasNauplii(facts)
      ? ` Once it is gone, minutes count${forNauplii(facts)}.`
      : beforeHatch(facts).replace('The oxygen lasts', 'Without it the oxygen lasts')
    return {
      measured: `The air into ${name} ${course}${gone}.${left}`,
      action: 'Look at the pump, its filter and the air line.',
      then: 'Have another pump ready. Lift the pump above the water, or shut the line, before you open it.',
    }
  },
}

function courseOf({ settled, now, fallingMs }: AirCourse, litres: number): string {
  return `has fallen steadily from ${airFlow(settled * litres)} to ${airFlow(now * litres)} in ${duration(fallingMs)}`
}

/** Minutes until nothing is left at the pace of the last hours. */
function untilGone(air: AirCourse | undefined): number {
  return air === undefined || !(air.fallPerH > 0) ? Infinity : (60 * air.now) / air.fallPerH
}
