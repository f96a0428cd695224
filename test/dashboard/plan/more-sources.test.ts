import { describe, expect, it } from 'vitest'
import { keptMore, readMore } from '../../../dashboard/plan/more-sources.ts'

const MORE = [
  { from: 'batch b1', typed: '8100' },
  { from: 'held h1', typed: '' },
]

describe('further sources of a feeding that is half ticked off', () => {
  it('come back as they stood, beside what else was typed', () => {
    const draft = { nauplii: '2900', from: 'held h2', ...keptMore(MORE) }
    expect(readMore(draft, ['batch b1', 'held h1', 'held h2'])).toEqual(MORE)
    expect(readMore({ nauplii: '2900', from: 'held h2' }, ['held h2'])).toEqual([])
    expect(readMore(null, ['held h2'])).toEqual([])
  })

  it('keep their number where what it came from is gone by now', () => {
    expect(readMore(keptMore(MORE), ['held h1'])).toEqual([{ from: 'other', typed: '8100' }, MORE[1]])
    // Only one of its two fields was typed into by an older version of the form.
    expect(readMore({ nauplii2: '5' }, ['held h1'])).toEqual([{ from: 'other', typed: '5' }])
  })
})
