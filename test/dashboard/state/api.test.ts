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
