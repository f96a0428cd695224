import { describe, expect, it } from 'vitest'
import { parsePath, recipePath, vesselPath } from '../../../dashboard/state/route.ts'

describe('addresses', () => {
  it('lead to views', () => {
    expect(parsePath('/')).toEqual({ view: 'room' })
    expect(parsePath('/devices')).toEqual({ view: 'devices' })
    expect(parsePath('/settings/')).toEqual({ view: 'settings' })
  })
  it('lead to the recipe, for a vessel or for none', () => {
    expect(parsePath('/recipe')).toEqual({ view: 'recipe', vesselId: '' })
    for (const vesselId of ['v1', 'a/b', 'ß %', '..']) {
      const [path = '', search] = recipePath(vesselId).split('?')
      expect(parsePath(path, search)).toEqual({ view: 'recipe', vesselId })
    }
  })
  it('carry a vessel there and back, whatever its id', () => {
    for (const vesselId of ['v1', 'a/b', 'ß %', '..'])
      expect(parsePath(vesselPath(vesselId))).toEqual({ view: 'vessel', vesselId })
  })
  it('lead nowhere when they are not ours or are broken', () => {
    for (const path of ['/vessel', '/vessel/a/b', '/recipe/x', '/nothing', '/vessel/%E0%A4%A'])
      expect(parsePath(path).view).toBe('nowhere')
  })
})
