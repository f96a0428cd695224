import { describe, expect, it } from 'vitest'
import { readHandoff, startPath } from '../../../dashboard/recipe/handoff.ts'

describe('what a recipe hands to the start of a batch', () => {
  it('comes out as it went in', () => {
    const path = startPath('a/b', { litres: 1.5, cystsG: 2.256, salinityGpl: 25 })
    expect(path.split('?')[0]).toBe('/vessel/a%2Fb')
    expect(readHandoff(path.slice(path.indexOf('?')))).toEqual({ litres: 1.5, cystsG: 2.26, salinityGpl: 25 })
  })
  it('is nothing unless it is whole', () => {
    for (const search of ['', '?litres=1', '?litres=1&cystsG=2', '?litres=1&cystsG=x&salinityGpl=25'])
      expect(readHandoff(search)).toBeNull()
  })
})
