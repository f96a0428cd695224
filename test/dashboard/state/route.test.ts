import { describe, expect, it } from 'vitest'
import { parsePath, vesselPath } from '../../../dashboard/state/route.ts'

describe('addresses', () => {
  it('lead to views', () => {
    expect(parsePath('/')).toEqual({ view: 'room' })
    expect(parsePath('/devices')).toEqual({ view: 'devices' })
    expect(parsePath('/settings/')).toEqual({ view: 'settings' })
  })
  it('carry a vessel there and back, whatever its id', () => {
    for (const vesselId of ['v1', 'a/b', 'ß %', '..'])
      expect(parsePath(vesselPath(vesselId))).toEqual({ view: 'vessel', vesselId })
  })
  it('lead nowhere when they are not ours or are broken', () => {
    for (const path of ['/vessel', '/vessel/a/b', '/nothing', '/vessel/%E0%A4%A'])
      expect(parsePath(path).view).toBe('nowhere')
  })
})
