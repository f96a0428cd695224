import { describe, expect, it } from 'vitest'
import { duration } from '../../broker/rules/words.ts'

describe('how long, in an alarm', () => {
  it('is told to ten seconds while it is short', () => {
    const said = [45, 60, 100, 178, 240, 290, 297, 301, 3600, 7200].map(s => duration(s * 1000))
    expect(said).toEqual([
      '45 s',
      '1 min',
      '1 min 40 s',
      '3 min',
      '4 min',
      '4 min 50 s',
      '5 min',
      '5 min',
      '60 min',
      '2 h',
    ])
  })
})
