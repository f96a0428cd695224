import type { HandedOver } from './format.ts'

/** Who did what, where that was left out. */
export const SOMEBODY = 'somebody'

/** Without who did what. What somebody wrote in a note stays: whoever hands it over has read it. */
export function withoutNames(file: HandedOver): HandedOver {
  const one = (name: string | null) => (name === null ? null : SOMEBODY)
  return {
    ...file,
    written: { ...file.written, names: false },
    events: file.events.map(event => ({ ...event, by: SOMEBODY })),
    alarms: file.alarms.map(alarm => ({
      ...alarm,
      acknowledgedBy: one(alarm.acknowledgedBy),
      ...(alarm.seenBefore && { seenBefore: { ...alarm.seenBefore, by: one(alarm.seenBefore.by) } }),
      setAsideBy: one(alarm.setAsideBy),
    })),
    watch: file.watch.map(row => {
      if (row.kind === 'alarm') return { ...row, line: { ...row.line, by: one(row.line.by) } }
      if (row.kind !== 'act') return row
      return 'onVessel' in row.line
        ? { ...row, line: { onVessel: unsigned(row.line.onVessel) } }
        : { ...row, line: { ...row.line, onSystem: unsigned(row.line.onSystem) } }
    }),
  }
}

const unsigned = <T extends object>(act: T): T => ('by' in act ? { ...act, by: SOMEBODY } : act)
