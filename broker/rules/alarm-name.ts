import { type Alarm, Reason, RuleName } from './alarm.ts'

/** What a rule's alarm is called wherever people read of it: two words at most. The dashboard says the same. */
export const ALARM_NAME: Readonly<Record<RuleName, string>> = {
  [RuleName.waterHeadingHot]: 'Heating up',
  [RuleName.waterTooHot]: 'Too hot',
  [RuleName.waterTooCool]: 'Too cool',
  [RuleName.airLost]: 'Air lost',
  [RuleName.airFading]: 'Air fading',
  [RuleName.lightOut]: 'Lamp out',
  [RuleName.waterLevel]: 'Water low',
  [RuleName.probeFault]: 'Probe fault',
  [RuleName.probeOutOfWater]: 'Probe out',
  [RuleName.deviceSilent]: 'Silent',
  [RuleName.harvestMissed]: 'Harvest missed',
  [RuleName.powerLost]: 'Power lost',
  [RuleName.diskFull]: 'Disk full',
  [RuleName.storeSlow]: 'Disk slow',
  [RuleName.clockJumped]: 'Clock jumped',
  [RuleName.channelFailing]: 'Cannot deliver',
  [RuleName.backupOverdue]: 'Backup overdue',
  [RuleName.dataRestored]: 'Data restored',
}

/** Of a warning that has come true: what it warned of. */
export const hasComeTrue = ({ rule, reason, value }: Pick<Alarm, 'rule' | 'reason' | 'value'>): boolean =>
  rule === RuleName.waterHeadingHot && (reason === Reason.aboveLimit || value === 0)

/** What has happened, and where: `Too hot, Cone 1`. `where` is `null` for what concerns the whole room. */
export function whatHappened(alarm: Pick<Alarm, 'rule' | 'reason' | 'value'>, where: string | null): string {
  const name = ALARM_NAME[hasComeTrue(alarm) ? RuleName.waterTooHot : alarm.rule]
  return where === null ? name : `${name}, ${where}`
}

/** One line for whoever is called: what has happened, where, and what to do first. */
export function callLine(
  alarm: Pick<Alarm, 'rule' | 'reason' | 'value' | 'action' | 'text'>,
  where: string | null,
): string {
  return `${whatHappened(alarm, where)}: ${alarm.action === '' ? alarm.text : alarm.action}`
}
