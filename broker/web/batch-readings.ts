import { type Room, RoomError, RoomErrorKind } from '../room/contract.ts'
import type { BatchRow } from '../store/contract.ts'

type Query = Parameters<Room['readings']>[1]

/** What was measured of a batch; nothing where its vessel never had a sensor and is gone. */
export async function batchReadings(
  room: Pick<Room, 'readings'>,
  { vesselId }: BatchRow,
  query: Query,
): Promise<Awaited<ReturnType<Room['readings']>>> {
  try {
    return await room.readings(vesselId, query)
  } catch (error) {
    if (error instanceof RoomError && error.kind === RoomErrorKind.notFound) return {}
    throw error
  }
}
