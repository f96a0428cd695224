import { Reason, RuleName } from '../alarm.ts'
import { Sight } from '../condition-timer.ts'
import type { SystemRule } from './contract.ts'

/** What is measured cannot be kept: the disk is full, or refuses. Devices hold back what was not acknowledged. */
export const diskFull: SystemRule = {
  name: RuleName.diskFull,
  raises: Reason.notKept,
  clears: Reason.keptAgain,
  see: ({ notKept }) => (notKept === null ? Sight.inside : Sight.beyond),
  value: () => null,
  limit: () => null,
  words: ({ notKept }) => ({
    measured: `Readings can no longer be kept${notKept === null ? '' : ` (${notKept.detail})`}. The vessels are judged still, and the devices hold what is not kept as long as they can.`,
    action: 'Make room on the disk of this machine.',
    then: 'Delete what is not brinewatch’s own, or give it a larger disk. What the devices hold comes in afterwards by itself.',
  }),
}
