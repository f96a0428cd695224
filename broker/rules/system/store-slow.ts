import { Reason, RuleName } from '../alarm.ts'
import { sightAtOrAbove } from '../condition-timer.ts'
import { duration } from '../words.ts'
import type { SystemRule } from './contract.ts'

/** Keeping readings takes longer than the limit, s: a disk that is dying or busy elsewhere. */
export const storeSlow: SystemRule = {
  name: RuleName.storeSlow,
  raises: Reason.aboveLimit,
  clears: Reason.backWithinLimit,
  see: ({ commitMs }, { limit, deadband }) => sightAtOrAbove(commitMs / 1000, limit, deadband),
  value: ({ commitMs }) => commitMs / 1000,
  limit: ({ limit }) => limit,
  words: ({ commitMs }, { limit }) => ({
    measured: `It takes ${duration(commitMs)} to keep a reading, longer than ${duration(limit * 1000)}: the disk of this machine is busy or failing.`,
    action: 'See what else works on this machine’s disk.',
    then: 'A memory card that grows slow is about to fail: make a backup now, and change it between batches.',
  }),
}
