import { type Alarm, AlarmState, PLAIN } from '../rules/alarm.ts'

/** When it was over, Unix ms; `null` while it stands. */
export function endOfAlarm({ state, raisedAtMs, clearedAtMs, acknowledgedAtMs }: Alarm): number | null {
  return state === AlarmState.normal ? Math.max(raisedAtMs, clearedAtMs ?? 0, acknowledgedAtMs ?? 0) : null
}

/** Alarms kept by an older version have neither an action nor a chain, and called when they were raised. */
export function readAlarm(json: string): Alarm {
  const kept = JSON.parse(json) as Omit<Alarm, keyof typeof PLAIN | 'announcedAtMs'> & Partial<Alarm>
  return { ...PLAIN, announcedAtMs: kept.raisedAtMs, ...kept }
}
