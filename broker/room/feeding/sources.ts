import type { Room } from '../contract.ts'
import { FedFrom, type GivenFeeding, type Pantry } from './contract.ts'

/**
 * The names of the vessels that what is held, and what feedings were taken from, came out of; by the ids of the portions and batches. Those
 * that are gone keep the name they had.
 */
export async function vesselNamesOf(
  room: Pick<Room, 'batch' | 'everyVessel'>,
  pantry: Pick<Pantry, 'held' | 'portions'> | null,
  fed: readonly GivenFeeding[],
): Promise<Record<string, string>> {
  const names = new Map((await room.everyVessel()).map(({ id, name }) => [id, name]))
  const vesselOf = new Map((await pantry?.portions?.())?.map(({ id, vesselId }) => [id, vesselId] as const))
  const batches = fed.flatMap(({ parts }) =>
    parts.flatMap(({ from, fromId }) => (from === FedFrom.batch && fromId !== null ? [fromId] : [])),
  )
  for (const id of new Set(batches)) {
    // A batch that was started by mistake is gone from every list.
    const batch = await room.batch(id).catch(() => null)
    if (batch) vesselOf.set(id, batch.vesselId)
  }
  return Object.fromEntries(
    [...vesselOf].flatMap(([id, vesselId]) => {
      const name = names.get(vesselId)
      return name === undefined ? [] : [[id, name]]
    }),
  )
}
