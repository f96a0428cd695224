import type { Alarm, Settings } from '../../broker/web/api/schemas.ts'
import { differenceText, temperatureText } from './temperature.ts'
import { duration } from './time.ts'

/** Two words at most, read at arm's length. */
export const ALARM_WORD: Record<Alarm['rule'], string> = {
  'water-too-hot': 'Too hot',
  'water-too-cool': 'Too cool',
  'air-lost': 'No air',
  'light-out': 'Lamp out',
  'probe-fault': 'Probe fault',
  'device-silent': 'Silent',
}

/** What each rule holds its limit against, for the settings page. */
export const RULE_TITLE: Record<Alarm['rule'], string> = {
  'water-too-hot': 'Water too hot',
  'water-too-cool': 'Water too cool',
  'air-lost': 'Air lost',
  'light-out': 'Light out',
  'probe-fault': 'Probe at fault',
  'device-silent': 'Device silent',
}

/** What one rule does at its present settings, in a sentence. */
export function ruleSentence(rule: Alarm['rule'], settings: Settings): string {
  const { limit, deadband, onDelayS, enabled } = settings.rules[rule]
  if (!enabled) return 'Switched off: nobody is called.'
  const after = onDelayS === 0 ? 'at once' : `after ${duration(onDelayS * 1000)}`
  const unit = settings.temperatureUnit
  switch (rule) {
    case 'water-too-hot':
      return `Calls ${after} from ${temperatureText(limit, unit)}; clears ${differenceText(deadband, unit)} below that.`
    case 'water-too-cool':
      return `Calls ${after} below ${temperatureText(limit, unit)}; clears ${differenceText(deadband, unit)} above that.`
    case 'air-lost':
      return `Calls ${after} below ${limit} l/min for each litre of water.`
    case 'light-out':
      return `Calls ${after} below ${limit} lx.`
    case 'probe-fault':
      return `Calls ${after} of readings that cannot be water.`
    case 'device-silent':
      return `Calls when a device, or its water or air sensor, was not heard for ${duration(limit * 1000)}.`
  }
}
