import type { Alarm, Settings } from '../../broker/web/api/schemas.ts'
import { differenceText, shortTemperature, temperatureText } from './temperature.ts'
import { exactly } from './time.ts'

type Rule = Alarm['rule']

const seconds = (s: number): string => exactly(s * 1000)
const minutes = (min: number): string => exactly(min * 60_000)

/** What one rule does at its present settings, in a sentence. */
export function ruleSentence(rule: Rule, settings: Settings): string {
  const { limit, deadband, onDelayS, enabled, leastCostS = 0 } = settings.rules[rule]
  if (!enabled) return 'Switched off: nobody is called.'
  const after = onDelayS === 0 ? 'at once' : `after ${seconds(onDelayS)}`
  const unit = settings.temperatureUnit
  switch (rule) {
    case 'water-heading-hot':
      return `Calls ${after} when the water crosses its heat limit within ${minutes(limit)} if it goes on as it does.`
    case 'water-too-hot':
      return `Calls ${after} from ${temperatureText(limit, unit)}; clears ${differenceText(deadband, unit)} below that. A cautious alarm limit: hatching stops only above about ${unit === 'C' ? '33 °C (91 °F)' : '91 °F (33 °C)'}.`
    case 'water-too-cool':
      return `Calls ${after} below ${temperatureText(limit, unit)}${leastCostS > 0 ? `, once that makes the harvest ${seconds(leastCostS)} later` : ''}; clears ${differenceText(deadband, unit)} above that.`
    case 'air-lost':
      return `Calls ${after} below ${limit} l/min for each litre of water.`
    case 'air-fading':
      return `Calls ${after} when the air falls steadily and is below ${limit} % of what it was.`
    case 'light-out':
      return `Calls ${after} below ${limit} lx, in the first hours or where the lamp is the heater.`
    case 'water-level':
      return `Calls ${after} when the water has fallen below ${limit} % of where it stood; needs a level sensor.`
    case 'probe-fault':
      return `Calls ${after} of readings that cannot be water.`
    case 'probe-out-of-water':
      return `Calls ${after} when the probe fell faster than water can.`
    case 'harvest-missed':
      return `Calls when the harvest window has been over for ${minutes(limit)} and the batch is still open.`
    case 'power-lost':
      return `Calls once for all when several devices fell silent at the same moment, ${seconds(limit)} ago.`
    case 'disk-full':
      return `Calls ${after} when the disk takes no more readings.`
    case 'store-slow':
      return `Calls ${after} when keeping readings takes longer than ${seconds(limit)}.`
    case 'clock-jumped':
      return `Calls when this machine’s clock jumps by more than ${seconds(limit)}.`
    case 'channel-failing':
      return `Calls ${after} when messages to a person do not get through.`
    case 'backup-overdue':
      return `Calls when the daily backup could not be made for ${limit} h. Where the room is kept in PostgreSQL, copies are the database’s own work.`
    case 'data-restored':
      return 'Calls when the database was found damaged at the start and a backup took its place.'
    case 'device-silent':
      return `Calls when a device, or its water or air sensor, was not heard for ${seconds(limit)}; one that speaks seldom, when two of its readings and a half did not come.`
  }
}

/** The values of one rule in a line, for a group that is folded: `above 29.4 °C for 30 s, high`. */
export function ruleSummary(rule: Rule, settings: Settings): string {
  const { enabled, onDelayS, priority, latching = false } = settings.rules[rule]
  if (!enabled) return 'switched off'
  const held = HAS_DELAY[rule] ? (onDelayS === 0 ? ', at once' : ` for ${seconds(onDelayS)}`) : ''
  return `${crossed(rule, settings)}${held}, ${priority}${latching ? ', until it is reset' : ''}`
}

/** Whether the rule waits before it calls; the others' limit is a length of time itself. */
export const HAS_DELAY: Record<Rule, boolean> = {
  'water-heading-hot': true,
  'water-too-hot': true,
  'water-too-cool': true,
  'air-lost': true,
  'air-fading': true,
  'light-out': true,
  'water-level': true,
  'probe-fault': true,
  'probe-out-of-water': true,
  'device-silent': false,
  'harvest-missed': false,
  'power-lost': false,
  'disk-full': true,
  'store-slow': true,
  'clock-jumped': false,
  'channel-failing': true,
  'backup-overdue': false,
  'data-restored': false,
}

/** What must be so, from the rule's limit. */
function crossed(rule: Rule, settings: Settings): string {
  const { limit, leastCostS = 0 } = settings.rules[rule]
  const unit = settings.temperatureUnit
  switch (rule) {
    case 'water-heading-hot':
      return `at its limit within ${minutes(limit)}`
    case 'water-too-hot':
      return `from ${shortTemperature(limit, unit)}`
    case 'water-too-cool':
      return `below ${shortTemperature(limit, unit)}${leastCostS > 0 ? ` and harvest ${seconds(leastCostS)} later` : ''}`
    case 'air-lost':
      return `below ${limit} l/min a litre`
    case 'air-fading':
      return `below ${limit} % and falling`
    case 'light-out':
      return `below ${limit} lx`
    case 'water-level':
      return `below ${limit} % of where it stood`
    case 'probe-fault':
      return 'no true reading'
    case 'probe-out-of-water':
      return 'in the air'
    case 'device-silent':
      return `not heard for ${seconds(limit)}`
    case 'harvest-missed':
      return `${minutes(limit)} past its window`
    case 'power-lost':
      return `several silent for ${seconds(limit)}`
    case 'disk-full':
      return 'takes no more'
    case 'store-slow':
      return `longer than ${seconds(limit)}`
    case 'clock-jumped':
      return `by more than ${seconds(limit)}`
    case 'channel-failing':
      return 'not delivered'
    case 'backup-overdue':
      return `not made for ${limit} h`
    case 'data-restored':
      return 'found at the start'
  }
}
