import { backupOverdue } from './backup-overdue.ts'
import { channelFailing } from './channel-failing.ts'
import { clockJumped } from './clock-jumped.ts'
import type { SystemRule } from './contract.ts'
import { dataRestored } from './data-restored.ts'
import { diskFull } from './disk-full.ts'
import { powerLost } from './power-lost.ts'
import { storeSlow } from './store-slow.ts'

/** The rules of the system's own, in the order in which alarms of the same moment are told. */
export const ALL_SYSTEM_RULES: readonly SystemRule[] = [
  powerLost,
  diskFull,
  dataRestored,
  channelFailing,
  storeSlow,
  clockJumped,
  backupOverdue,
]
