import { describe, expect, it } from 'vitest'
import {
  batchPath,
  batchThenPath,
  parsePath,
  recipePath,
  vesselPath,
} from '../../../dashboard/state/route.ts'

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
  it('carry a batch and a moment of it there and back', () => {
    const atMs = Date.UTC(2026, 2, 2, 18, 20, 30, 5)
    for (const batchId of ['b1', 'a/b', 'ß %&at=1']) {
      const [path = '', search] = batchPath(batchId, atMs).split('?')
      expect(parsePath(path, search)).toEqual({ view: 'batch', batchId, vesselId: '', atMs })
    }
    const [path = '', search] = batchThenPath('v 1', atMs).split('?')
    expect(parsePath(path, search)).toEqual({ view: 'batch', batchId: '', vesselId: 'v 1', atMs })
    expect(parsePath('/batch', 'of=b1')).toEqual({ view: 'batch', batchId: 'b1', vesselId: '', atMs: null })
    expect(parsePath('/batch', 'of=b1&at=soon')).toMatchObject({ atMs: null })
  })
  it('lead nowhere when they are not ours or are broken', () => {
    for (const path of ['/vessel', '/vessel/a/b', '/recipe/x', '/nothing', '/vessel/%E0%A4%A'])
      expect(parsePath(path).view).toBe('nowhere')
  })
})
