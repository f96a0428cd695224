import { afterEach, describe, expect, it } from 'vitest'
import { forWhom, may, setMe } from '../../../dashboard/state/me.ts'

const as = (role: 'viewer' | 'helper' | 'owner') => setMe({ signInNeeded: true, name: null, role })
afterEach(() => as('owner'))

describe('who looks at the screen', () => {
  it.each([
    ['viewer', [true, false, false]],
    ['helper', [true, true, false]],
    ['owner', [true, true, true]],
  ] as const)('a %s is shown what is for their role and below', (role, shown) => {
    as(role)
    expect([may('viewer'), may('helper'), may('owner')]).toEqual(shown)
  })

  it('is told for whom the rest is', () => {
    expect(forWhom('owner')).toContain('owner')
    expect(forWhom('helper')).toContain('Helpers')
  })
})
