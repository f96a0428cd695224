import type { ZodType } from 'zod'
import { Problem } from '../api/schemas.ts'
import { HttpProblem, PROBLEM_TYPE } from '../problem.ts'

/** Pieces that every route's description is made of. */

export const json = <Schema extends ZodType>(schema: Schema, description: string) => ({
  description,
  content: { 'application/json': { schema } },
})

export const body = <Schema extends ZodType>(schema: Schema) => ({
  required: true,
  content: { 'application/json': { schema } },
})

export const optionalBody = <Schema extends ZodType>(schema: Schema) => ({
  content: { 'application/json': { schema } },
})

const PROBLEMS = {
  400: 'The request cannot be read.',
  401: 'Sign in first.',
  403: 'The request comes from elsewhere.',
  404: 'There is no such thing.',
  409: 'It cannot be done as things are now.',
  413: 'The body is larger than 256 KiB.',
  415: 'The body is not JSON.',
  422: 'A field is wrong; `errors` names each.',
  429: 'Too many tries; `Retry-After` tells how long to wait.',
  500: 'The service failed; `errorId` is in its log.',
  503: 'The service cannot do it now; `Retry-After` tells when to try again.',
} as const

const always = [400, 401, 403, 500, 503] as const

/** The ways in which a route can say no, besides those in which every route can. */
export function problems(...more: (keyof typeof PROBLEMS)[]) {
  const content = { [PROBLEM_TYPE]: { schema: Problem } }
  return Object.fromEntries(
    [...always, ...more].map(status => [status, { description: PROBLEMS[status], content }]),
  )
}

/** Without its undefined members: to the rest of the broker a member that is left out and one that is undefined differ. */
export function given<T extends object>(from: T): { [K in keyof T]: Exclude<T[K], undefined> } {
  return Object.fromEntries(Object.entries(from).filter(([, value]) => value !== undefined)) as {
    [K in keyof T]: Exclude<T[K], undefined>
  }
}

/** Moments outside these are slips of the pen, and would not fit the calendar of ISO 8601 in the end. */
const EARLIEST_MS = Date.UTC(2000, 0, 1)
const LATEST_MS = Date.UTC(2100, 0, 1)

/** Unix ms of a moment that was sent as ISO 8601 or as ms. */
export function momentMs(field: string, text: string): number {
  const atMs = /^\d+$/.test(text) ? Number(text) : Date.parse(text)
  if (atMs >= EARLIEST_MS && atMs < LATEST_MS) return atMs
  const message = `Cannot read ${field}: it must lie between the years 2000 and 2100, got ${text}`
  throw new HttpProblem(422, message, { errors: [{ field, message }] })
}
