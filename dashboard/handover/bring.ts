import { ApiError, problemError } from '../state/api.ts'

export interface Brought {
  readonly batchId: string
  readonly isNew: boolean
}

/** It is here already: as one of this house's own, or from another file. */
export class KnownBatch extends ApiError {
  readonly batchId: string
  constructor(status: number, message: string, batchId: string) {
    super(status, message)
    this.batchId = batchId
  }
}

/** Sends a file from elsewhere, packed or not; as a copy it stands beside the batch that it is of. */
export async function bringBatch(file: Blob, as: 'guest' | 'copy' = 'guest'): Promise<Brought> {
  let response: Response
  try {
    response = await fetch(`/api/v1/brought-in?as=${as}`, {
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
    const said = answer as Parameters<typeof problemError>[1]
    const { message } = problemError(response.status, said)
    if (said?.batchId) throw new KnownBatch(response.status, message, said.batchId)
    // No field of a form is at fault: all of it stands above the file.
    throw new ApiError(response.status, message)
  }
  return answer as Brought
}
