import type { Alarm, Settings } from '../../broker/web/api/schemas.ts'
import { differenceText, temperatureText } from './temperature.ts'
import { duration } from './time.ts'

/** Two words at most, read at arm's length. */
export const ALARM_WORD: Record<Alarm['rule'], string> = {
  'water-heading-hot': 'Heating up',
  'water-too-hot': 'Too hot',
  'water-too-cool': 'Too cool',
  'air-lost': 'No air',
  'air-fading': 'Air fading',
  'light-out': 'Lamp out',
  'probe-fault': 'Probe fault',
  'probe-out-of-water': 'Probe out',
  'device-silent': 'Silent',
  'harvest-missed': 'Harvest missed',
  'power-lost': 'Power lost',
  'disk-full': 'Disk full',
  'store-slow': 'Disk slow',
  'clock-jumped': 'Clock jumped',
  'channel-failing': 'Cannot deliver',
}

/** What each rule holds its limit against, for the settings page. */
export const RULE_TITLE: Record<Alarm['rule'], string> = {
  'water-heading-hot': 'Water heading for its heat limit',
  'water-too-hot': 'Water too hot',
  'water-too-cool': 'Water too cool',
  'air-lost': 'Air lost',
  'air-fading': 'Air fading',
  'light-out': 'Light out',
  'probe-fault': 'Probe at fault',
  'probe-out-of-water': 'Probe out of the water',
  'device-silent': 'Device silent',
  'harvest-missed': 'Harvest missed',
  'power-lost': 'Power lost to several devices',
  'disk-full': 'Readings cannot be kept',
  'store-slow': 'Disk slow',
  'clock-jumped': 'Clock jumped',
  'channel-failing': 'Messages do not get through',
}

/** What one rule does at its present settings, in a sentence. */
export function ruleSentence(rule: Alarm['rule'], settings: Settings): string {
  const { limit, deadband, onDelayS, enabled, leastCostS = 0 } = settings.rules[rule]
  if (!enabled) return 'Switched off: nobody is called.'
  const after = onDelayS === 0 ? 'at once' : `after ${duration(onDelayS * 1000)}`
  const unit = settings.temperatureUnit
  switch (rule) {
    case 'water-heading-hot':
      return `Calls ${after} when the water crosses its heat limit within ${duration(limit * 60_000)} if it goes on as it does.`
    case 'water-too-hot':
      return `Calls ${after} from ${temperatureText(limit, unit)}; clears ${differenceText(deadband, unit)} below that.`
    case 'water-too-cool':
      return `Calls ${after} below ${temperatureText(limit, unit)}${leastCostS > 0 ? `, once that makes the harvest ${duration(leastCostS * 1000)} later` : ''}; clears ${differenceText(deadband, unit)} above that.`
    case 'air-lost':
      return `Calls ${after} below ${limit} l/min for each litre of water.`
    case 'air-fading':
      return `Calls ${after} when the air falls steadily and is below ${limit} % of what it was.`
    case 'light-out':
      return `Calls ${after} below ${limit} lx, in the first hours or where the lamp is the heater.`
    case 'probe-fault':
      return `Calls ${after} of readings that cannot be water.`
    case 'probe-out-of-water':
      return `Calls ${after} when the probe fell faster than water can.`
    case 'harvest-missed':
      return `Calls when the harvest window has been over for ${duration(limit * 60_000)} and the batch is still open.`
    case 'power-lost':
      return `Calls once for all when several devices fell silent at the same moment, ${duration(limit * 1000)} ago.`
    case 'disk-full':
      return `Calls ${after} when the disk takes no more readings.`
    case 'store-slow':
      return `Calls ${after} when keeping readings takes longer than ${duration(limit * 1000)}.`
    case 'clock-jumped':
      return `Calls when this machine’s clock jumps by more than ${duration(limit * 1000)}.`
    case 'channel-failing':
      return `Calls ${after} when messages to a person do not get through.`
    case 'device-silent':
      return `Calls when a device, or its water or air sensor, was not heard for ${duration(limit * 1000)}.`
  }
}
