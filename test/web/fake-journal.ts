import type { JournalQuery, JournalView } from '../../broker/room/alarm-journal.ts'
import type { Alarm } from '../../broker/rules/alarm.ts'
import { journalFigures } from '../../broker/rules/journal/figures.ts'
import { stepsFromRecord } from '../../broker/rules/journal/steps.ts'
import { NOW_MS } from './examples.ts'

/** A journal over the alarms that the fake room has, with the real figures. */
export function fakeJournal(alarms: readonly Alarm[], query: JournalQuery): JournalView {
  const { fromMs, toMs, skip, limit, vesselId } = query
  const within = alarms.filter(({ raisedAtMs }) => raisedAtMs >= fromMs && raisedAtMs < toMs)
  const listed = within.filter(alarm => vesselId === undefined || alarm.vesselId === vesselId)
  return {
    figures: journalFigures({
      fromMs,
      toMs,
      nowMs: NOW_MS,
      alarms: within,
      steps: within.flatMap(stepsFromRecord),
    }),
    cut: false,
    entries: listed
      .slice(skip, skip + limit)
      .map(alarm => ({ alarm, steps: stepsFromRecord(alarm), came: 1, because: null })),
    more: listed.length > skip + limit,
    marks: within.map(({ id, vesselId, rule, priority, raisedAtMs, clearedAtMs }) => ({
      alarmId: id,
      vesselId,
      rule,
      priority,
      fromMs: raisedAtMs,
      toMs: clearedAtMs,
      silent: false,
      came: 1,
    })),
    names: {},
  }
}
