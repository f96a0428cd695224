import type { Problem } from '../../broker/web/api/schemas.ts'

/** The broker refused. `fields` says which field is wrong and why, in words to show beside it. */
export class ApiError extends Error {
  override readonly name = 'ApiError'
  readonly status: number
  readonly fields: ReadonlyMap<string, string>
  constructor(status: number, message: string, fields: ReadonlyMap<string, string> = new Map()) {
    super(message)
    this.status = status
    this.fields = fields
  }
}

/** Waiting longer than this for an answer is no use to a person. */
const PATIENCE_MS = 15_000

/** One request to the broker under /api/v1. Rejects with an {@link ApiError} in words that can be shown. */
export async function request<Answer>(
  method: 'GET' | 'POST' | 'PUT' | 'DELETE' | 'PATCH',
  path: string,
  body?: unknown,
  signal?: AbortSignal,
): Promise<Answer> {
  const late = AbortSignal.timeout(PATIENCE_MS)
  let response: Response
  try {
    response = await fetch(`/api/v1${path}`, {
      method,
      credentials: 'same-origin',
      headers: {
        accept: 'application/json',
        ...(body === undefined ? {} : { 'content-type': 'application/json' }),
      },
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
      signal: signal ? AbortSignal.any([signal, late]) : late,
    })
  } catch (error) {
    if (signal?.aborted) throw error
    throw new ApiError(0, 'The broker cannot be reached. Nothing was changed; try again.')
  }
  if (response.status === 401) unauthorized()
  if (!response.ok) throw problemError(response.status, await jsonOrNull(response))
  if (response.status === 204) return undefined as Answer
  return (await response.json()) as Answer
}

async function jsonOrNull(response: Response): Promise<Partial<Problem> | null> {
  try {
    return (await response.json()) as Partial<Problem>
  } catch {
    return null
  }
}

/** What a problem+json answer says, field by field. */
export function problemError(status: number, problem: Partial<Problem> | null): ApiError {
  const fields = new Map((problem?.errors ?? []).map(each => [each.field, each.message]))
  const said = problem?.detail ?? problem?.title ?? `The broker answered ${status}.`
  // The same id is in the broker's log, so a person can tell which failure it was.
  const message = problem?.errorId
    ? `${said.replace(/[.\s]+$/, '')} (failure ${problem.errorId} in the log).`
    : said
  return new ApiError(status, message, fields)
}

let unauthorized = (): void => undefined
/** Called whenever the broker asks for a sign-in. */
export function onUnauthorized(listener: () => void): void {
  unauthorized = listener
}
