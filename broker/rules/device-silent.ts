import { Reason, RuleName } from './alarm.ts'
import { Sight } from './condition-timer.ts'
import type { JudgedRole, Rule, Words } from './rule.ts'
import { usualRule } from './rule.ts'
import { duration } from './words.ts'

const UNKNOWN: Readonly<Record<JudgedRole, string>> = {
  water: 'is too hot',
  air: 'gets air',
  light: 'is lit',
  level: 'keeps its water',
}
const SEE: Readonly<Record<JudgedRole, Omit<Words, 'measured'>>> = {
  water: {
    action: 'Look at the vessel, then at its water probe’s plug.',
    then: 'Put a thermometer in meanwhile; pull the mains plugs before you reach into the water.',
  },
  air: {
    action: 'See that air bubbles, then look at its air sensor’s plug.',
    then: 'Touch plugs with dry hands, and pull the mains plugs before you reach into the water.',
  },
  light: {
    action: 'See that its lamp is lit, then look at the light sensor.',
    then: 'Touch plugs with dry hands, and let a lamp cool before you touch the bulb.',
  },
  level: {
    action: 'See that the vessel is full, then at its level sensor.',
    then: 'Pull the mains plugs before you reach into the water or wipe up what ran out.',
  },
}
const SEE_SEVERAL: Omit<Words, 'measured'> = {
  action: 'Look at the vessel itself, then at its sensors’ plugs.',
  then: 'See to its warmth, air and light meanwhile; pull the mains plugs before you reach into the water.',
}

/**
 * During a batch, nothing was heard of the vessel's devices for longer than the limit, s, or for as long as two of its usual gaps and
 * a half if that is longer; or one of its channels has brought no reading for so long: a device that is heard may have lost a sensor. Light counts only while its rule watches.
 */
export const deviceSilent: Rule = {
  ...usualRule,
  name: RuleName.deviceSilent,
  role: null,
  batchOnly: true,
  raises: Reason.notHeard,
  clears: Reason.heardAgain,
  see: () => Sight.inside,
  words({ facts, silence: { whole, channels, namedMs, usualMs } }) {
    const [first] = channels
    const usually = usualMs > 0 ? ` (one usually comes every ${duration(usualMs)})` : ''
    if (whole)
      return {
        measured: `Nothing was heard from the device on ${facts.name} for ${duration(namedMs)}${usualMs > 0 ? ` (it usually speaks every ${duration(usualMs)})` : ''}, so its water, air and light are not watched.`,
        action: 'Look at the vessel itself: its warmth, its air, its light.',
        then: 'Then, with dry hands, look at the device’s power and at its network.',
      }
    // Announced anew just as the readings have come back, before they have lasted.
    if (first === undefined)
      return { measured: `Readings from ${facts.name} failed to come for some time.`, ...SEE_SEVERAL }
    const unknown = either(channels.map(role => UNKNOWN[role]))
    return {
      measured: `No ${either(channels)} reading has come from ${facts.name} for ${duration(namedMs)}${usually}, though its device is heard: whether it ${unknown} is not known.`,
      ...(channels.length === 1 ? SEE[first] : SEE_SEVERAL),
    }
  },
  value: ({ silence }) => silence.longestMs / 1000,
  limit: ({ limit }, _facts, moment) => Math.max(limit, (moment?.silence.waitedMs ?? 0) / 1000),
}

/** `a`, `a or b`, `a, b or c`. */
function either(items: readonly string[]): string {
  return items.length < 2 ? items.join('') : `${items.slice(0, -1).join(', ')} or ${items.at(-1)}`
}
