import { expect, it } from 'vitest'
import { namesToTap } from '../../../dashboard/forms/lot-field.ts'

it('offers the lots on the shelf first, those never used among them, then those that were used', () => {
  const used = [
    { name: 'A', lastUsedAt: '2026-03-01T00:00:00Z' },
    { name: 'B', lastUsedAt: '2026-03-05T00:00:00Z' },
    { name: 'Gone', lastUsedAt: '2026-03-06T00:00:00Z' },
  ]
  const shelf = [
    { name: 'A', putAwayAt: null },
    { name: 'New', putAwayAt: null },
    { name: 'Gone', putAwayAt: '2026-03-06T08:00:00Z' },
  ]
  expect(namesToTap(used, shelf)).toEqual(['A', 'New', 'Gone', 'B'])
  expect(namesToTap(used, [])).toEqual(['Gone', 'B', 'A'])
})
