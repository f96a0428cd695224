import { describe, expect, it } from 'vitest'
import { keptText } from '../../../dashboard/forms/kept-count.ts'

const counts = (nauplii: string, embryos = '') => ({ nauplii, umbrella: '', embryos })
const sample = { sampleMl: 1, nauplii: 40 }

describe('a count that was left half made', () => {
  it('is told by its samples and by what is under the lens', () => {
    expect(keptText({ samples: [], counts: counts('5') })).toBe('5 nauplii')
    expect(keptText({ samples: [], counts: counts('1') })).toBe('1 nauplius')
    expect(keptText({ samples: [sample], counts: counts('') })).toBe('1 sample')
    expect(keptText({ samples: [sample, sample], counts: counts('77') })).toBe(
      '2 samples, and 77 nauplii of the next',
    )
    expect(keptText({ samples: [], counts: counts('', '3') })).toBe('a sample begun')
  })

  it('is none where only volumes were typed, or where an older page kept less', () => {
    expect(keptText({ samples: [], counts: counts(' '), sampleMl: '0.5' })).toBe('')
    expect(keptText({ sampleMl: '2' })).toBe('')
  })
})
