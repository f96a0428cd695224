import type { Hook } from '@hono/zod-openapi'
import type { WebEnv } from './context.ts'
import { plainWords, type Issue } from './plain-words.ts'
import { HttpProblem, type FieldError } from './problem.ts'

/** Answers a request that its schema refuses, naming every field that is wrong. */
// The library types a default hook for all routes at once, which is only possible with `any`.
// eslint-disable-next-line @typescript-eslint/no-explicit-any
export const refuseInvalid: Hook<any, WebEnv, any, any> = result => {
  if (result.success) return
  const errors = result.error.issues.flatMap(issue => fieldErrors(issue as Issue))
  const names = [...new Set(errors.map(error => error.field))].join(', ')
  throw new HttpProblem(422, `Cannot accept request: ${names} ${errors.length === 1 ? 'is' : 'are'} wrong`, {
    errors,
  })
}

function fieldErrors(issue: Issue): FieldError[] {
  const field = issue.path.map(String).join('.')
  if (issue.code === 'unrecognized_keys' && 'keys' in issue && Array.isArray(issue.keys)) {
    const keys = issue.keys as string[]
    return keys.map(key => ({
      field: [field, key].filter(Boolean).join('.'),
      message: 'There is no such field',
    }))
  }
  // A body that is no object at all has no field to name.
  return [{ field: field || 'body', message: plainWords(issue) }]
}
