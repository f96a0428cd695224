import { describe, expect, it } from 'vitest'
import { hoursWords } from '../../broker/diagnosis/suspects/suspect.ts'

describe('the words of a diagnosis', () => {
  it('tell how long in whole minutes that have passed, whatever the span', () => {
    expect(hoursWords(22.6)).toBe('22 h 36 min')
    expect(hoursWords(22 + 59.9 / 60)).toBe('22 h 59 min')
    expect(hoursWords(23)).toBe('23 h')
    expect(hoursWords(0.7)).toBe('42 min')
    // Twelve twelfths of an hour, added up, are not quite one.
    expect(hoursWords(Array.from({ length: 12 }, () => 1 / 12).reduce((a, b) => a + b))).toBe('1 h')
  })
})
