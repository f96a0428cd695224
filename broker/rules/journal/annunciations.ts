import { Reason } from '../alarm.ts'
import type { JournalStep } from './contract.ts'
import { isOver } from './steps.ts'

/** After these an alarm calls for the first time, or for one that was put off and is known; they may stand at the head of a span. */
const TELLS_AGAIN: ReadonlySet<Reason> = new Set([Reason.announcedAgain, Reason.unshelved])

/**
 * The steps at which an alarm came and called: what is counted as one alarm, throughout the journal. That it is told again, because it
 * still holds, has become worse or was put off until now, is no further alarm; that it came anew after it was over is. Of an alarm that
 * had come before the span, `cameBefore`, the telling again is all that is seen.
 */
export function annunciations<Step extends JournalStep>(
  steps: readonly Step[],
  cameBefore: (alarmId: string) => boolean = () => false,
): Step[] {
  const told = new Map<string, boolean>()
  return steps.filter(({ alarmId, state, reason, calls }) => {
    const before = told.get(alarmId) ?? (cameBefore(alarmId) || TELLS_AGAIN.has(reason))
    if (calls) told.set(alarmId, true)
    else if (isOver(state)) told.set(alarmId, false)
    return calls && !before
  })
}
