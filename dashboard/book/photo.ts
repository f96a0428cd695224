import type { BatchEvent } from '../../broker/web/api/events.ts'
import { ApiError, problemError } from '../state/api.ts'

/** As large as a photo of a vessel needs to be, pixels on its longer side, and how it is packed. */
const LONGEST_PX = 1600
const QUALITY = 0.82

/** A phone's photo made small enough to be kept. What the browser cannot read is sent as it is: the broker says what is wrong. */
async function small(file: Blob): Promise<Blob> {
  let picture: ImageBitmap
  try {
    picture = await createImageBitmap(file)
  } catch {
    return file
  }
  const scale = Math.min(1, LONGEST_PX / Math.max(picture.width, picture.height))
  const canvas = document.createElement('canvas')
  canvas.width = Math.max(1, Math.round(picture.width * scale))
  canvas.height = Math.max(1, Math.round(picture.height * scale))
  canvas.getContext('2d')?.drawImage(picture, 0, 0, canvas.width, canvas.height)
  picture.close()
  // Drawn anew, it has lost where and with what it was taken.
  return new Promise(resolve => canvas.toBlob(blob => resolve(blob ?? file), 'image/jpeg', QUALITY))
}

export async function sendPhoto(batchId: string, file: Blob): Promise<BatchEvent> {
  const body = await small(file)
  let response: Response
  try {
    response = await fetch(`/api/v1/batches/${encodeURIComponent(batchId)}/photos`, {
      method: 'POST',
      credentials: 'same-origin',
      headers: { 'content-type': body.type || 'image/jpeg' },
      body,
    })
  } catch {
    throw new ApiError(0, 'The broker cannot be reached. The photo was not kept; try again.')
  }
  const answer: unknown = await response.json().catch(() => null)
  if (!response.ok) throw problemError(response.status, answer as Parameters<typeof problemError>[1])
  return answer as BatchEvent
}

export const photoUrl = (photoId: string): string => `/api/v1/photos/${encodeURIComponent(photoId)}`
