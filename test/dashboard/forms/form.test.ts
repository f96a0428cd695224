import { describe, expect, it } from 'vitest'
import { readNumber } from '../../../dashboard/forms/form.ts'

describe('readNumber', () => {
  it.each([
    ['2', 2],
    [' 1.5 ', 1.5],
    ['1,5', 1.5],
    ['.5', 0.5],
    ['-3', -3],
    ['2.', 2],
  ])('reads %j', (text, value) => expect(readNumber(text)).toBe(value))

  it.each(['', ' ', '1e3', 'NaN', 'Infinity', '2 L', '1.2.3', '0x10'])('does not read %j', text =>
    expect(readNumber(text)).toBeNull(),
  )
})
