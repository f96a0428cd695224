import { expect, it } from 'vitest'
import { countedToo, readCount } from '../../../dashboard/forms/tally.ts'

it('reads whole numbers, takes an empty counter for none, and refuses the rest', () => {
  expect(readCount('')).toBe(0)
  expect(readCount(' 212 ')).toBe(212)
  expect(readCount('1000000')).toBe(1_000_000)
  for (const text of ['1000001', '-1', '2.5', '1e3', 'many', '12 3']) expect(readCount(text), text).toBeNull()
})

it('leaves out what was not counted, and keeps a zero that was', () => {
  const read = (counts: Record<'umbrella' | 'embryos', string>) =>
    countedToo({ nauplii: '60', ...counts }, what => Number(counts[what as 'umbrella' | 'embryos']))
  expect(read({ umbrella: '', embryos: ' ' })).toEqual({})
  expect(read({ umbrella: '0', embryos: '' })).toEqual({ umbrella: 0 })
  expect(read({ umbrella: '4', embryos: '20' })).toEqual({ umbrella: 4, embryos: 20 })
})
