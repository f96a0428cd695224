import type { Alarm } from '../../broker/web/api/schemas.ts'

type Rule = Alarm['rule']

/** What an alarm and its rule are called, everywhere: two words at most, read at arm's length. DEVELOPERS.md has the glossary. */
export const ALARM_WORD: Record<Rule, string> = {
  'water-heading-hot': 'Heating up',
  'water-too-hot': 'Too hot',
  'water-too-cool': 'Too cool',
  'air-lost': 'Air lost',
  'air-fading': 'Air fading',
  'light-out': 'Lamp out',
  'water-level': 'Water low',
  'probe-fault': 'Probe fault',
  'probe-out-of-water': 'Probe out',
  'device-silent': 'Silent',
  'harvest-missed': 'Harvest missed',
  'power-lost': 'Power lost',
  'disk-full': 'Disk full',
  'store-slow': 'Disk slow',
  'clock-jumped': 'Clock jumped',
  'channel-failing': 'Cannot deliver',
  'backup-overdue': 'Backup overdue',
  'data-restored': 'Data restored',
}

/** The same once it is over and waits to be seen: what was is not told as what is. */
const ALARM_WAS: Record<Rule, string> = {
  'water-heading-hot': 'Was heating up',
  'water-too-hot': 'Was too hot',
  'water-too-cool': 'Was too cool',
  'air-lost': 'Air was lost',
  'air-fading': 'Air was fading',
  'light-out': 'Lamp was out',
  'water-level': 'Water was low',
  'probe-fault': 'Probe was at fault',
  'probe-out-of-water': 'Probe was out',
  'device-silent': 'Was silent',
  'harvest-missed': 'Harvest was missed',
  'power-lost': 'Power was lost',
  'disk-full': 'Disk was full',
  'store-slow': 'Disk was slow',
  'clock-jumped': 'Clock jumped',
  'channel-failing': 'Could not deliver',
  'backup-overdue': 'Backup was overdue',
  'data-restored': 'Data restored',
}

/** What it tells of has ended; it stands only to be seen, or to be reset. */
export const isOver = ({ state, clearedAt }: Pick<Alarm, 'state' | 'clearedAt'>): boolean =>
  state === 'return-to-normal-unacknowledged' ||
  state === 'latched' ||
  state === 'latched-acknowledged' ||
  (state === 'normal' && clearedAt !== null)

/** What the warning told of is there: no minutes are left until the limit. */
export const hasCome = ({ rule, value }: Pick<Alarm, 'rule' | 'value'>): boolean =>
  rule === 'water-heading-hot' && value === 0

/** Less than this is written as 0.00: air that has stopped, as against too little, l/min. */
export const STOPPED_LPM = 0.005

/** The alarm in two or three words as it is now: what is over is told as what was. */
export function alarmWord(alarm: Pick<Alarm, 'rule' | 'state' | 'clearedAt' | 'value'>): string {
  const { rule } = alarm
  if (isOver(alarm)) return ALARM_WAS[rule]
  if (hasCome(alarm)) return ALARM_WORD['water-too-hot']
  return ALARM_WORD[rule]
}
