import { RoomError, RoomErrorKind, type Room } from '../contract.ts'
import { FedFrom, MOST_PARTS, type FeedingPart, type Pantry } from './contract.ts'

interface ReadyPart {
  readonly part: FeedingPart
  /** The id of what `keep` writes where it is taken from; `null` where nothing is. */
  readonly wrote: string | null
  keep(): Promise<unknown>
}

interface Sources {
  readonly room: Pick<Room, 'readyEvent'>
  readonly pantry?: Pantry | null
  /** Several were named, so a refusal says which of them it is about. */
  readonly several: boolean
}

/** What is wrong with them whatever there is: too many, none, or one twice, of which each alone might be enough. */
export function checkParts(parts: readonly FeedingPart[]): void {
  if (parts.length === 0) throw refuse(RoomErrorKind.invalid, 'say what it was taken from', 'parts')
  if (parts.length > MOST_PARTS)
    throw refuse(
      RoomErrorKind.invalid,
      `it may come from ${MOST_PARTS} sources at most, got ${parts.length}`,
      'parts',
    )
  const keys = parts.map(({ from, fromId }) => (from === FedFrom.other ? from : `${from} ${fromId}`))
  const twice = keys.findIndex((key, at) => keys.indexOf(key) !== at)
  if (twice >= 0) throw refuse(RoomErrorKind.invalid, 'each source is named once', `parts.${twice}.fromId`)
}

/** All together; `null` where somebody did not count one of them. */
export const sumOf = (parts: readonly FeedingPart[]): number | null =>
  parts.reduce<number | null>(
    (sum, { nauplii }) => (sum === null || nauplii === null ? null : sum + nauplii),
    0,
  )

/** Each source looked at, and nothing taken yet: the first that has too little refuses them all. */
export async function readyParts(
  sources: Sources,
  parts: readonly FeedingPart[],
  said: { readonly atMs: number; readonly by: string },
): Promise<ReadyPart[]> {
  const ready: ReadyPart[] = []
  for (const [at, part] of parts.entries()) {
    try {
      ready.push(await readyPart(sources, part, said))
    } catch (error) {
      if (!sources.several || !(error instanceof RoomError)) throw error
      const { kind, message, field } = error
      throw new RoomError(kind, message, field === null || field === 'at' ? field : `parts.${at}.${field}`)
    }
  }
  return ready
}

async function readyPart(
  { room, pantry }: Sources,
  part: FeedingPart,
  { atMs, by }: { readonly atMs: number; readonly by: string },
): Promise<ReadyPart> {
  const { from, fromId, nauplii } = part
  if (from === FedFrom.other) return { part, wrote: null, keep: async () => undefined }
  if (fromId === null) throw refuse(RoomErrorKind.invalid, 'say from which batch or portion', 'fromId')
  if (from === FedFrom.held) {
    if (!pantry?.ready) throw refuse(RoomErrorKind.invalid, 'there is no refrigerator here', 'from')
    const draw = await pantry.ready(fromId, { nauplii, atMs, by })
    return { part, wrote: draw.id, keep: () => draw.keep() }
  }
  const unknown = { share: null, coldC: null, energyLeft: null, firstOutAtMs: null }
  const taken = { kind: 'taken', for: 'fed', nauplii, ...unknown, atMs, by } as const
  const entry = await room.readyEvent(fromId, taken)
  return { part, wrote: entry.id, keep: () => entry.keep() }
}

/** What each source is to have back. One that is gone, its batch discarded or its entry deleted with it, has nothing to be given back to. */
export async function readyBack(
  { room, pantry }: Pick<Sources, 'pantry'> & { readonly room: Pick<Room, 'readyWithdrawal'> },
  parts: readonly (FeedingPart & { readonly wrote: string | null })[],
): Promise<{ keep(): Promise<unknown> }[]> {
  const ready: { keep(): Promise<unknown> }[] = []
  for (const { from, fromId, wrote } of parts) {
    if (wrote === null || fromId === null) continue
    try {
      const back =
        from === FedFrom.held
          ? await pantry?.readyUndraw?.(fromId, wrote)
          : await room.readyWithdrawal(fromId, wrote)
      if (back) ready.push(back)
    } catch (error) {
      if (!(error instanceof RoomError) || error.kind !== RoomErrorKind.notFound) throw error
    }
  }
  return ready
}

export const refuse = (kind: RoomErrorKind, rule: string, field: string): RoomError =>
  new RoomError(kind, `Cannot write down the feeding: ${rule}`, field)
