import { Quality } from '../intake/reading.ts'
import { Reason, RuleName } from './alarm.ts'
import { Sight, sightBelow } from './condition-timer.ts'
import type { VesselFacts } from './contract.ts'
import type { Rule } from './rule.ts'
import { usualRule } from './rule.ts'
import { temperatureStep } from './words.ts'

/**
 * How long after the start darkness is a fault, ms: 6 h or less of light in the initial hours triggers hatching fully
 * (J. Crustacean Biology, doi 10.1163/1937240x-00002454). Later a dark lamp matters only as a heater.
 */
export const LIGHT_MATTERS_MS = 6 * 3_600_000

/** Water that fell so far since the light went out has followed it, °C: more than a draught does in an hour. Own choice. */
export const FOLLOWED_C = 0.5

/**
 * Too little light, lx: in the first hours of a batch, because light triggers the hatch; later where the lamp is the heater, which
 * it is if the water followed the light down, now or an earlier time.
 */
export const lightOut: Rule = {
  ...usualRule,
  name: RuleName.lightOut,
  role: 'light',
  batchOnly: true,
  raises: Reason.belowLimit,
  clears: Reason.backWithinLimit,
  watchedUntilMs: facts =>
    facts.batch === null || isHeater(facts) ? Infinity : facts.batch.startedAtMs + LIGHT_MATTERS_MS,
  see: (value, quality, _facts, { limit, deadband }) =>
    quality === Quality.good ? sightBelow(value, limit, deadband) : Sight.unknown,
  words({ facts, setting, value }) {
    const light = value === null ? 'not known' : `${Math.round(value)} lx`
    return {
      measured: `The light on ${facts.name} is ${light}, below ${Math.round(setting.limit)} lx, ${why(facts)}.`,
      action: 'Bring another lamp, or see why this one is out.',
      then: 'Switch it off at a dry plug and let it cool before you touch the bulb.',
    }
  },
}

/** Whether the lamp is known to be the heater, from this darkness or an earlier one. */
export function isHeater({ dark, lampHeats }: VesselFacts): boolean {
  return lampHeats === true || (dark !== undefined && dark.fellC >= FOLLOWED_C)
}

function why(facts: VesselFacts): string {
  if (!isHeater(facts)) return 'in the first hours, when light sets the hatch going'
  const fellC = facts.dark?.fellC ?? 0
  const cooled = fellC >= FOLLOWED_C ? `: the water has cooled by ${temperatureStep(fellC)} since` : ''
  return `and its lamp is its heater${cooled}`
}
