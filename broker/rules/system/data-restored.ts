import { Reason, RuleName } from '../alarm.ts'
import { Sight } from '../condition-timer.ts'
import { duration } from '../words.ts'
import type { SystemRule } from './contract.ts'

/** It is told of for so long, ms: it was over when it was found, so that nothing else ends it. */
const TOLD_MS = 10 * 60_000

/** At its start the service found its database damaged, and went on with a backup. */
export const dataRestored: SystemRule = {
  name: RuleName.dataRestored,
  raises: Reason.foundDamaged,
  clears: Reason.mended,
  see: ({ restored }, _setting, nowMs) =>
    restored !== null && nowMs - restored.atMs < TOLD_MS ? Sight.beyond : Sight.inside,
  value: () => null,
  limit: () => null,
  words({ restored }) {
    const lostMs = restored === null ? 0 : restored.atMs - restored.ofMs
    return {
      measured: `The database was damaged at the start. A backup took its place: what came in during the ${duration(lostMs)} before is missing here.`,
      action: 'Look at the batches, and enter what is missing.',
      then: `The damaged file is kept${restored === null ? '' : ` in ${restored.keptIn}`}. A disk or memory card that does so once may do so again: change it.`,
    }
  },
}
