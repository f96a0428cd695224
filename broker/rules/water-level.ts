import { Quality } from '../intake/reading.ts'
import { Priority, Reason, RuleName } from './alarm.ts'
import { Sight } from './condition-timer.ts'
import type { LevelCourse } from './contract.ts'
import { hasNauplii } from './nauplii.ts'
import type { Rule } from './rule.ts'
import { usualRule } from './rule.ts'
import { minutesLeft } from './words.ts'

/** A vessel that is empty so soon is a matter of now, minutes. Own choice. */
const NOW_MIN = 60
/** A level that never stood this high, share of a full vessel, is a sensor that hangs dry, and tells nothing. Own choice. */
const LEAST_STOOD = 0.05

/**
 * The water has fallen below the limit, per cent of where it stood: the outlet leaks, or an air line that hangs below the water
 * siphons it off. The cysts go with it, what is left is heated faster, and the floor is wet.
 */
export const waterLevel: Rule = {
  ...usualRule,
  name: RuleName.waterLevel,
  role: 'level',
  batchOnly: true,
  raises: Reason.belowLimit,
  clears: Reason.backWithinLimit,
  see(_value, quality, { level }, { limit, deadband }) {
    if (quality !== Quality.good || level === undefined || !(level.stood >= LEAST_STOOD)) return Sight.unknown
    const percent = percentOf(level)
    if (percent >= limit + deadband) return Sight.inside
    return percent < limit ? Sight.beyond : Sight.between
  },
  priority: (facts, setting) =>
    hasNauplii(facts) && emptyInMin(facts.level) <= NOW_MIN ? Priority.critical : setting.priority,
  value: ({ facts: { level } }) => (level === undefined ? null : Math.round(percentOf(level))),
  words({ facts }) {
    const { name, level } = facts
    const minutes = emptyInMin(level)
    const soon = Number.isFinite(minutes)
      ? `; at this pace the vessel is empty in about ${minutesLeft(minutes)}`
      : ''
    const gone = level !== undefined && level.now < LEAST_STOOD
    const has = gone
      ? 'is gone from where its sensor sits'
      : `has fallen to ${shown(level)} of where it stood`
    return {
      measured: `The water in ${name} ${has}${soon}. It runs out at the outlet, or an air line draws it off.`,
      action: 'Shut the outlet, and lift the air line above the water.',
      then:
        'Pull the mains plugs before you wipe up what ran out. Then switch the lamp off or move it back, ' +
        'because less water warms faster, and top up with salt water of the same strength.',
    }
  },
}

const percentOf = ({ now, stood }: LevelCourse): number => (100 * now) / stood

function shown(level: LevelCourse | undefined): string {
  return level === undefined ? 'less' : `${Math.round(percentOf(level))} %`
}

/** Minutes until nothing is left at the pace of the last minutes. */
function emptyInMin(level: LevelCourse | undefined): number {
  return level === undefined || !(level.fallPerH > 0) ? Infinity : (60 * level.now) / level.fallPerH
}
