import { HTTPException } from 'hono/http-exception'
import { STATUS_CODES } from 'node:http'
import { RoomError, RoomErrorKind } from '../room/contract.ts'
import { HandoverError, Refusal } from '../room/handover/errors.ts'
import { StoreError, StoreErrorCode } from '../store/contract.ts'
import type { Problem } from './api/schemas.ts'

export const PROBLEM_TYPE = 'application/problem+json'

export interface FieldError {
  readonly field: string
  readonly message: string
}

/** For answers that do not pass the app, where all others get theirs: whatever is in it, it is no page. */
export const BARE_HEADERS = {
  'Content-Security-Policy': "default-src 'none'; frame-ancestors 'none'",
  'X-Content-Type-Options': 'nosniff',
} as const

/** An answer that says no. Thrown by routes and guards, turned into RFC 9457 problem details in one place. */
export class HttpProblem extends Error {
  override readonly name = 'HttpProblem'
  readonly status: number
  readonly errors: readonly FieldError[]
  readonly headers: Readonly<Record<string, string>>
  readonly batchId: string | null
  constructor(
    status: number,
    detail: string,
    more: {
      errors?: readonly FieldError[]
      headers?: Readonly<Record<string, string>>
      batchId?: string | null
    } = {},
  ) {
    super(detail)
    this.status = status
    this.errors = more.errors ?? []
    this.headers = more.headers ?? {}
    this.batchId = more.batchId ?? null
  }
}

const ROOM_STATUS: Readonly<Record<RoomErrorKind, number>> = {
  [RoomErrorKind.notFound]: 404,
  [RoomErrorKind.conflict]: 409,
  [RoomErrorKind.invalid]: 422,
}

const HANDOVER_STATUS: Readonly<Record<Refusal, number>> = {
  [Refusal.notOurs]: 422,
  [Refusal.newer]: 422,
  [Refusal.malformed]: 422,
  [Refusal.tooLarge]: 413,
  [Refusal.known]: 409,
  [Refusal.full]: 409,
  [Refusal.busy]: 503,
}

const STORE_STATUS: Readonly<Partial<Record<StoreErrorCode, number>>> = {
  [StoreErrorCode.full]: 503,
  [StoreErrorCode.readOnly]: 503,
  [StoreErrorCode.inUse]: 503,
  [StoreErrorCode.closed]: 503,
  [StoreErrorCode.duplicate]: 409,
}
/** How long a client should wait before it tries what is full or busy again. */
const STORE_RETRY_S = 30

/** The problem that an error is to the one who asked; `undefined` when it is our own fault. */
export function asProblem(error: unknown): HttpProblem | undefined {
  if (error instanceof HttpProblem) return error
  if (error instanceof RoomError) {
    const errors = error.field === null ? [] : [{ field: error.field, message: error.message }]
    return new HttpProblem(ROOM_STATUS[error.kind], error.message, { errors })
  }
  if (error instanceof HandoverError) {
    const errors = error.field === null ? [] : [{ field: error.field, message: error.message }]
    const { batchId } = error
    const status = HANDOVER_STATUS[error.refusal]
    const headers = status === 503 ? { 'Retry-After': String(STORE_RETRY_S) } : {}
    return new HttpProblem(status, error.message, { errors, headers, batchId })
  }
  if (error instanceof StoreError) {
    const status = STORE_STATUS[error.code]
    if (status === undefined) return undefined
    const headers = status === 503 ? { 'Retry-After': String(STORE_RETRY_S) } : {}
    return new HttpProblem(status, error.message, { headers })
  }
  if (error instanceof HTTPException && error.status < 500) {
    return new HttpProblem(error.status, EXCEPTION_DETAIL[error.status] ?? error.message)
  }
  return undefined
}

/** What the HTTP library throws, in our words. */
const EXCEPTION_DETAIL: Readonly<Partial<Record<number, string>>> = {
  400: 'Cannot read body: it is not valid JSON',
  415: 'Cannot read body: send it with Content-Type: application/json',
}

/** The problem's document, RFC 9457 section 3. No type of our own is needed: the status and the fields say it. */
export function problemDocument(problem: HttpProblem, errorId?: string): Problem {
  return {
    type: 'about:blank',
    title: STATUS_CODES[problem.status] ?? 'Error',
    status: problem.status,
    detail: problem.message,
    ...(problem.batchId === null ? {} : { batchId: problem.batchId }),
    ...(problem.errors.length > 0 ? { errors: [...problem.errors] } : {}),
    ...(errorId === undefined ? {} : { errorId }),
  }
}

export function problemResponse(problem: HttpProblem, errorId?: string): Response {
  return new Response(JSON.stringify(problemDocument(problem, errorId)), {
    status: problem.status,
    headers: { ...problem.headers, 'Content-Type': PROBLEM_TYPE },
  })
}
