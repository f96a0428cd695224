import type { Alarm } from '../../rules/alarm.ts'
import type { AssignmentRow, BatchEventRow, BatchRow, WatchRow } from '../../store/contract.ts'
import type { HandedOver } from './format.ts'

/** What a file says, as the store keeps it. */

export const batchOf = ({ batch, vessel }: HandedOver): BatchRow => ({ ...batch, vesselId: vessel.id })

export function assignmentsOf({ channels, vessel }: HandedOver): AssignmentRow[] {
  return channels.map(({ assignmentId: id, readings: _readings, unit: _unit, ...rest }) => ({
    ...(rest as Omit<AssignmentRow, 'id' | 'vesselId'>),
    id,
    vesselId: vessel.id,
  }))
}

export function eventRowsOf({ batch, events }: HandedOver): BatchEventRow[] {
  return events.map(({ said: { kind, ...said }, ...row }) => ({
    ...row,
    batchId: batch.id,
    kind,
    json: JSON.stringify(said),
  }))
}

/** A field that JSON leaves out is not there: what the schema may leave undefined never is. */
export const alarmsOf = ({ alarms }: HandedOver): readonly Alarm[] => alarms as readonly Alarm[]

export function watchRowsOf({ watch }: HandedOver): WatchRow[] {
  return watch.map(({ line, ...row }) => ({ ...row, json: JSON.stringify(line) }))
}
