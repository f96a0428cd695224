import { Quality } from '../intake/reading.ts'
import { Priority, Reason, RuleName } from './alarm.ts'
import { Sight, sightBelow } from './condition-timer.ts'
import type { VesselFacts } from './contract.ts'
import { beforeHatch, forNauplii, hasNauplii } from './nauplii.ts'
import type { Rule } from './rule.ts'
import { usualRule } from './rule.ts'
import { airFlow } from './words.ts'

/**
 * Too little air for the water there is, l/min per litre. Before hatching that is a delay (encysted embryos survive months
 * without oxygen: Clegg 1992); hatched nauplii at usual densities use up their oxygen within 4 to 29 minutes (reckoned from
 * published respiration), so from hatching on it is critical whatever is set. How long it lasts in this vessel is told where it
 * is known: the short end once there are nauplii, the middle before.
 */
export const airLost: Rule = {
  ...usualRule,
  name: RuleName.airLost,
  role: 'air',
  batchOnly: true,
  raises: Reason.belowLimit,
  clears: Reason.backWithinLimit,
  see: (value, quality, { litres }, { limit, deadband }) =>
    quality === Quality.good ? sightBelow(perLitre(value, litres), limit, deadband) : Sight.unknown,
  priority: (facts, setting) => (hasNauplii(facts) ? Priority.critical : setting.priority),
  waitsMs: airWaitsMs,
  value: ({ value, facts }) => perLitre(value, facts.litres),
  words({ facts, setting, value }) {
    const flow = value === null ? 'not known' : airFlow(value)
    const needed = airFlow(setting.limit * facts.litres)
    const measured = `The air into ${facts.name} is ${flow}, less than the ${needed} that its water needs`
    return hasNauplii(facts)
      ? {
          measured: `${measured}. Nauplii are hatching or hatched, and minutes count${forNauplii(facts)}.`,
          action: 'Get air bubbling again at once, with any pump you have.',
          then: 'If there is none, draw the nauplii off into wide, shallow water; dry your hands before you touch a plug.',
        }
      : {
          measured: `${measured}: before the hatch this is a delay, not a loss.${beforeHatch(facts)}`,
          action: 'Look at the pump, then for a kinked line or a shut valve.',
          then: 'Shut the line or lift the pump above the water before you open it, so that no water runs back to the mains.',
        }
  },
}

/**
 * A strip or a pump that feeds several vessels takes the air of all, and devices speak in turn: where it is only a delay, those with
 * nauplii are heard first, so that the one call says what is at stake. Devices speak once a minute or oftener; own choice.
 */
const LETS_PASS_MS = 60_000

/** How much longer lost air waits here for vessels where it is more urgent, ms. */
export function airWaitsMs(facts: VesselFacts): number {
  return facts.naupliiElsewhere === true && !hasNauplii(facts) ? LETS_PASS_MS : 0
}

function perLitre(litresPerMinute: number | null, litres: number): number | null {
  return litresPerMinute === null || !(litres > 0) ? null : litresPerMinute / litres
}
