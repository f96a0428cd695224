import type { Forecast } from '../hatch/contract.ts'
import type { BatchRow } from '../store/contract.ts'
import { BatchForecast, RECENT_MS } from './batch-forecast.ts'
import { RoomError, RoomErrorKind, type NewBatch } from './contract.ts'
import { rebuildDevelopment } from './development-rebuild.ts'
import { judgeEvent } from './judging.ts'
import { ROLES } from './roles.ts'
import type { RoomState } from './state.ts'

/** A batch may be written down this long after it was started. */
const LONGEST_AGO_MS = 30 * 86_400_000
/** Clocks of phone and server may differ by so much before "in the future" is a mistake. */
const CLOCK_SLACK_MS = 5 * 60_000

/** Starts a batch, now or at a moment past. A vessel has one open batch at a time. */
export async function startBatch(state: RoomState, input: NewBatch): Promise<BatchRow> {
  const vessel = state.vessel(input.vesselId)
  if (vessel.batch) throw hasOne(vessel.row.name)
  const nowMs = state.parts.clock()
  const startedAtMs = Math.min(input.startedAtMs ?? nowMs, nowMs)
  if ((input.startedAtMs ?? nowMs) > nowMs + CLOCK_SLACK_MS) {
    throw new RoomError(
      RoomErrorKind.invalid,
      'Cannot start a batch: its start lies in the future',
      'startedAt',
    )
  }
  if (startedAtMs < nowMs - LONGEST_AGO_MS) {
    throw new RoomError(
      RoomErrorKind.invalid,
      'Cannot start a batch: its start is over 30 days ago',
      'startedAt',
    )
  }
  const [last] = await state.parts.store.batches({ vesselId: input.vesselId, limit: 1 })
  if (last?.endedAtMs && startedAtMs < last.endedAtMs) {
    throw new RoomError(
      RoomErrorKind.invalid,
      `Cannot start a batch: its start lies before the end of the last batch in ${vessel.row.name}`,
      'startedAt',
    )
  }
  if (vessel.batch) throw hasOne(vessel.row.name)
  const batch: BatchRow = {
    id: state.parts.newId(),
    vesselId: input.vesselId,
    startedAtMs,
    endedAtMs: null,
    litres: input.litres,
    cystsG: input.cystsG,
    salinityGpl: input.salinityGpl,
    lot: input.lot ?? null,
    note: input.note ?? null,
  }
  // Set before the first wait, so that a second tap in the same moment is refused.
  vessel.batch = batch
  try {
    await state.parts.store.keepBatch(batch)
  } catch (error) {
    vessel.batch = null
    throw error
  }
  await rebuildDevelopment(state, vessel)
  state.tell({ kind: 'vessel', vessel: vessel.view() })
  return batch
}

function hasOne(name: string): RoomError {
  const words = `Cannot start a batch: ${name} has one already; end that first`
  return new RoomError(RoomErrorKind.conflict, words, 'vesselId')
}

/** Ends an open batch; its alarms that make sense only with a batch return to normal. */
export async function endBatch(
  state: RoomState,
  id: string,
  input: { endedAtMs?: number; note?: string },
): Promise<BatchRow> {
  const { store, clock } = state.parts
  const batch = await findBatch(state, id)
  if (batch.endedAtMs !== null)
    throw new RoomError(RoomErrorKind.conflict, 'Cannot end the batch: it has ended already')
  const nowMs = clock()
  const endedAtMs = Math.min(input.endedAtMs ?? nowMs, nowMs)
  if (endedAtMs < batch.startedAtMs) {
    throw new RoomError(
      RoomErrorKind.invalid,
      'Cannot end the batch: its end lies before its start',
      'endedAt',
    )
  }
  if ((input.endedAtMs ?? nowMs) > nowMs + CLOCK_SLACK_MS) {
    throw new RoomError(RoomErrorKind.invalid, 'Cannot end the batch: its end lies in the future', 'endedAt')
  }
  const ended: BatchRow = { ...batch, endedAtMs, note: input.note ?? batch.note }
  await store.keepBatch(ended)
  const vessel = state.vessels.get(batch.vesselId)
  if (vessel?.batch?.id === id) {
    vessel.batch = null
    vessel.development = null
    vessel.forecast = null
    judgeEvent(state, vessel, { kind: 'tick', atMs: nowMs })
    state.tell({ kind: 'vessel', vessel: vessel.view() })
    const devices = new Set(ROLES.flatMap(role => vessel.channels[role]?.device ?? []))
    for (const device of devices) state.inBackground('packing the batch’s readings', store.seal(device))
  }
  return ended
}

export async function findBatch(state: RoomState, id: string): Promise<BatchRow> {
  const batch = await state.parts.store.batch(id)
  if (!batch) throw new RoomError(RoomErrorKind.notFound, `Cannot find batch: no batch has the id ${id}`)
  return batch
}

/** The forecast of any batch: as of now while it is open, as of its end afterwards. */
export async function forecastBatch(state: RoomState, id: string): Promise<Forecast> {
  const nowMs = state.parts.clock()
  const open = [...state.vessels.values()].find(vessel => vessel.batch?.id === id)
  if (open?.development && !open.outOfOrder) return open.development.at(nowMs)
  const batch = await findBatch(state, id)
  const asOfMs = batch.endedAtMs ?? nowMs
  const development = new BatchForecast(batch)
  const sources = state.routes.sources(batch.vesselId, 'water', batch.startedAtMs - RECENT_MS, asOfMs + 1)
  for (const sample of await state.parts.store.samples(sources)) development.take(sample)
  return development.at(asOfMs)
}
