import { Reason, RuleName } from '../alarm.ts'
import { Sight } from '../condition-timer.ts'
import { duration } from '../words.ts'
import type { SystemRule } from './contract.ts'

const HOUR_MS = 3_600_000

/** The daily backup could not be made for longer than the limit, h: if the disk died now, more than a day's records would go with it. */
export const backupOverdue: SystemRule = {
  name: RuleName.backupOverdue,
  raises: Reason.notBackedUp,
  clears: Reason.backedUpAgain,
  see: ({ backupOverdue }, { limit }, nowMs) =>
    backupOverdue !== null && nowMs - backupOverdue.sinceMs >= limit * HOUR_MS ? Sight.beyond : Sight.inside,
  value: ({ backupOverdue }, nowMs) =>
    backupOverdue === null ? null : (nowMs - backupOverdue.sinceMs) / HOUR_MS,
  limit: ({ limit }) => limit,
  words: ({ backupOverdue }, _setting, nowMs) => ({
    measured: `The daily backup has been due for ${duration(nowMs - (backupOverdue?.sinceMs ?? nowMs))}${backupOverdue === null ? '' : ` (${backupOverdue.detail})`}.`,
    action: 'Make room for the daily backup.',
    then: 'It is tried again every hour. The readings go on being kept meanwhile.',
  }),
}
