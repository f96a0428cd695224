import type { PhotoRow } from '../../store/books-contract.ts'
import type { BatchEvent } from '../event-contract.ts'
import { conflict, invalid, notFound, type BookParts } from './parts.ts'
import { pictureSize } from './picture-size.ts'

/** What one photo may weigh, how many a batch may have, and what all together may: further ones are refused. */
export const PHOTO_BYTES = 1024 * 1024
export const PHOTOS_OF_BATCH = 12
export const ALL_PHOTOS_BYTES = 512 * 1024 * 1024
/** What one may have: a phone that shows it takes four bytes for each. */
export const PHOTO_PIXELS = 25_000_000

export interface Photos {
  /** Keeps a photo and writes it into the batch's log. What the bytes are decides, not what they are called. */
  add(
    batchId: string,
    body: Uint8Array,
    said: { by: string; atMs?: number; words?: string },
  ): Promise<BatchEvent>
  photo(id: string): Promise<PhotoRow>
}

export function createPhotos({ store, room, clock, newId }: BookParts): Photos {
  let turn: Promise<unknown> = Promise.resolve()
  /** One after the other, so that of many at once no more are kept than may be. */
  const inTurn = <T>(work: () => Promise<T>): Promise<T> => {
    const mine = turn.then(work)
    turn = mine.catch(() => undefined)
    return mine
  }
  return {
    add: (batchId, body, said) => inTurn(() => add(batchId, body, said)),
    async photo(id) {
      const row = await store.photo(id)
      if (!row) throw notFound('photo', id)
      return row
    },
  }

  async function add(
    ...[batchId, body, { by, atMs, words }]: Parameters<Photos['add']>
  ): Promise<BatchEvent> {
    await room.batch(batchId)
    const media = mediaOf(body)
    if (media === null)
      throw invalid('Cannot keep the photo: it must be a JPEG, PNG or WebP picture', 'photo')
    if (body.byteLength > PHOTO_BYTES)
      throw invalid(`Cannot keep the photo: it may weigh ${PHOTO_BYTES / 1024} KiB`, 'photo')
    const unfit = unfitToShow(body)
    if (unfit !== null) throw invalid(`Cannot keep the photo: ${unfit}`, 'photo')
    const { ofBatch, bytes } = await store.photoTotals(batchId)
    if (ofBatch >= PHOTOS_OF_BATCH)
      throw conflict(`Cannot keep the photo: the batch has ${PHOTOS_OF_BATCH}, which is as many as it may`)
    if (bytes + body.byteLength > ALL_PHOTOS_BYTES)
      throw conflict(`Cannot keep the photo: all photos together fill ${ALL_PHOTOS_BYTES / 1024 / 1024} MiB`)
    const photoId = newId()
    const entry = await room.readyEvent(batchId, {
      kind: 'photo',
      photoId,
      media,
      bytes: body.byteLength,
      by,
      ...(words === undefined ? {} : { words }),
      ...(atMs === undefined ? {} : { atMs }),
    })
    // In one turn: a photo whose entry is refused would take the place of another.
    const kept = store.keepPhoto({ id: photoId, batchId, media, createdAtMs: clock(), body })
    const [event] = await Promise.all([entry.keep(), kept])
    return event
  }
}

/** Why a picture is not to be shown to anybody; `null` for nothing. A few kilobytes may unpack to more than a phone's memory. */
export function unfitToShow(body: Uint8Array): string | null {
  const size = pictureSize(body)
  if (size === null) return 'its width and height cannot be read, so it is damaged'
  const { width, height } = size
  if (width * height <= PHOTO_PIXELS) return null
  return `it may have ${PHOTO_PIXELS / 1e6} million pixels, got ${width} × ${height}`
}

/** Told by their first bytes: ITU T.81 B.1.1.3 (JPEG), W3C PNG 5.2, RFC 9649 section 2.4 (WebP). */
export function mediaOf(body: Uint8Array): string | null {
  const is = (bytes: readonly number[], from = 0) => bytes.every((byte, at) => body[from + at] === byte)
  if (is([0xff, 0xd8, 0xff])) return 'image/jpeg'
  if (is([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a])) return 'image/png'
  if (is([0x52, 0x49, 0x46, 0x46]) && is([0x57, 0x45, 0x42, 0x50], 8)) return 'image/webp'
  return null
}
