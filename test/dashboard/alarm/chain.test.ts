import { expect, it } from 'vitest'
import { consequences, foretold, isCalledFor, isForetold } from '../../../dashboard/alarm/chain.ts'
import { alarm } from '../room.ts'

it('a warning that has come is told as what it warned of, and not with that as one more thing', () => {
  const hot = alarm({ id: 'hot', rule: 'water-too-hot' })
  const elsewhere = alarm({ id: 'far', rule: 'water-too-hot', vesselId: 'v9' })
  const warning = alarm({
    id: 'w',
    rule: 'water-heading-hot',
    value: 0,
    consequences: ['hot', 'far', 'gone'],
  })
  const aside = new Map([hot, elsewhere].map(each => [each.id, each]))
  expect(foretold(warning, aside)).toBe(hot)
  expect(consequences(warning, aside)).toEqual([elsewhere])
  const listed = new Map(aside).set('w', warning)
  expect([hot, elsewhere].map(each => isForetold({ ...each, causedBy: 'w' }, listed))).toEqual([true, false])
  const before = { ...warning, value: 12 }
  expect(foretold(before, aside)).toBeUndefined()
  expect(consequences(before, aside)).toEqual([hot, elsewhere])
  // Brought back after it was called, the warning is silent with what it warned of.
  const after = alarm({ id: 'h', rule: 'water-too-hot', consequences: ['w'] })
  expect(consequences(after, new Map([['w', warning]]))).toEqual([])
})

it('what its cause called for is not told as calling nobody; what came of something silent is', () => {
  const byId = (...those: ReturnType<typeof alarm>[]) => new Map(those.map(each => [each.id, each]))
  const warning = alarm({ id: 'w', rule: 'water-heading-hot' })
  const hot = alarm({ id: 'hot', rule: 'water-too-hot', causedBy: 'w' })
  const ofHot = alarm({ id: 'far', rule: 'water-too-hot', vesselId: 'v9', causedBy: 'hot' })
  const aside = byId(hot, ofHot)
  expect([hot, ofHot].map(each => isCalledFor(each, byId(warning), aside))).toEqual([true, true])
  const shelved = alarm({ id: 'w', rule: 'water-heading-hot', state: 'shelved' })
  const silent = byId(shelved, hot, ofHot)
  expect([shelved, hot, ofHot].map(each => isCalledFor(each, new Map(), silent))).toEqual([
    false,
    false,
    false,
  ])
})
