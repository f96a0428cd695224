import { ApiError, problemError } from '../state/api.ts'

export interface Brought {
  readonly batchId: string
  readonly isNew: boolean
}

/** Sends a file from elsewhere, packed or not. */
export async function bringBatch(file: Blob): Promise<Brought> {
  let response: Response
  try {
    response = await fetch('/api/v1/brought-in', {
      method: 'POST',
      credentials: 'same-origin',
      headers: { 'content-type': 'application/gzip' },
      body: file,
    })
  } catch {
    throw new ApiError(0, 'The broker cannot be reached. Try again: the same file is not taken twice.')
  }
  const answer: unknown = await response.json().catch(() => null)
  if (!response.ok) {
    const { message } = problemError(response.status, answer as Parameters<typeof problemError>[1])
    // No field of a form is at fault: all of it stands above the file.
    throw new ApiError(response.status, message)
  }
  return answer as Brought
}
