import type { LookedAt } from '../../room/handover/desk.ts'
import type { Guest } from '../../room/handover/guests.ts'
import type { WebOptions } from '../context.ts'

/** The room that a batch is looked at in: the fish room, or, for one from elsewhere, the one that it is alone in. */
export async function placeOf(
  { room, guests }: Pick<WebOptions, 'room' | 'guests'>,
  batchId: string,
): Promise<{ readonly room: LookedAt; readonly guest: Guest | null }> {
  const guest = await guests.find(batchId)
  const own = guest && (await guests.room(batchId))
  return own ? { room: own, guest } : { room, guest: null }
}
