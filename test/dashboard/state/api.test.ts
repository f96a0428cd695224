import { expect, it } from 'vitest'
import { problemError } from '../../../dashboard/state/api.ts'

it('a problem+json answer becomes words for each field', () => {
  const error = problemError(422, {
    title: 'Unprocessable',
    detail: 'Cannot accept request: litres is wrong',
    errors: [{ field: 'litres', message: 'Too small' }],
  })
  expect(error.fields.get('litres')).toBe('Too small')
  expect(error.message).toBe('Cannot accept request: litres is wrong')
  expect(problemError(502, null).message).toContain('502')
})

it('a failure names the id under which the log has it', () => {
  const problem = { title: 'Internal Server Error', detail: 'Cannot answer: see the log.', errorId: 'f-71' }
  expect(problemError(500, problem).message).toBe('Cannot answer: see the log (failure f-71 in the log).')
  expect(problemError(500, { title: 'Internal Server Error', errorId: 'f-71' }).message).toContain('f-71')
})
