import { describe, expect, it } from 'vitest'
import { knownLot, lotToKeep } from '../../../dashboard/words/lot-name.ts'

describe('a lot that is typed', () => {
  const known = ['Lake 2026-A', 'spring']
  it('is a known one when it differs in case and spaces only', () => {
    expect(knownLot(' lake  2026-a', known)).toBe('Lake 2026-A')
    expect(knownLot('lake2026-A', known)).toBe('Lake 2026-A')
    expect(lotToKeep('SPRING ', known)).toBe('spring')
  })
  it('is a new one when it differs in anything else', () => {
    expect(knownLot('Lake 2026-B', known)).toBeNull()
    expect(knownLot('Lake 2026 A', known)).toBeNull()
    expect(lotToKeep(' Lake 2026-B ', known)).toBe('Lake 2026-B')
    expect(lotToKeep('  ', known)).toBe('')
  })
  it('is itself when two lots differ in case only', () => {
    expect(knownLot('Spring', ['spring', 'Spring'])).toBe('Spring')
  })
})
