import type { Heartbeat } from '../../broker/web/api/heartbeat.ts'
import { moment, type Zone } from './time.ts'

/** How the heartbeat stands, in one or two sentences; `good: null` when there is nothing to judge. */
export function heartbeatWords(
  { settings, lastBeatAt, ailments, missed, failing }: Heartbeat,
  nowMs: number,
  zone: Zone,
): { readonly good: boolean | null; readonly words: string } {
  if (settings === null) return { good: null, words: 'Nobody would notice if this machine died.' }
  const last =
    lastBeatAt === null
      ? 'No call got through since the start.'
      : `The last call that got through: ${moment(Date.parse(lastBeatAt), nowMs, zone)}.`
  if (ailments.length > 0)
    return {
      good: false,
      words: `Calls have stopped, because not all is well here: ${ailments.join(' ')} ${last}`,
    }
  if (missed !== null) {
    const alarm = failing ? ' It is tried again all the time.' : ' It is tried again soon.'
    return { good: false, words: `${missed}.${alarm} ${last}` }
  }
  return lastBeatAt === null
    ? { good: null, words: 'The first call is about to be made.' }
    : { good: true, words: last }
}
