import type { DeviceAlarm } from '../../firmware-protocol/device-alarm.ts'

/** What makes the buzzer sound, most urgent first; each has a pattern of its own. */
export const Buzz = {
  critical: 'critical',
  ownLimit: 'own-limit',
  high: 'high',
  silentBroker: 'silent-broker',
  low: 'low',
} as const
export type Buzz = (typeof Buzz)[keyof typeof Buzz]

/** Which pattern sounds now; `null` for none. One buzzer plays one: the most urgent. */
export function buzzOf(
  alarm: Pick<DeviceAlarm, 'sound' | 'priority'>,
  own: { readonly limitSounds: boolean; readonly silenceSounds: boolean },
): Buzz | null {
  const told = alarm.sound ? alarm.priority : null
  if (told === 'critical') return Buzz.critical
  if (own.limitSounds) return Buzz.ownLimit
  if (told === 'high') return Buzz.high
  if (own.silenceSounds) return Buzz.silentBroker
  return told === 'low' ? Buzz.low : null
}
