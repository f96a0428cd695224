import { describe, expect, it } from 'vitest'
import { wayOf } from '../../../dashboard/worker/shell.ts'

const ORIGIN = 'http://127.0.0.1:8080'
const SHELL = new Set(['/', '/assets/index-abc.js', '/manifest.webmanifest', '/icons/cone-192.png'])
const way = (path: string, mode: RequestMode = 'cors', method = 'GET') =>
  wayOf({ method, mode, url: new URL(path, ORIGIN).href }, ORIGIN, SHELL)

describe('the way of a request through the worker', () => {
  it.each(['/', '/vessel/v1', '/settings', '/recipe?vessel=v1', '/index.html', '/nowhere'])(
    '%s is a page',
    path => {
      expect(way(path, 'navigate')).toBe('page')
    },
  )

  it.each([
    '/api/v1/vessels',
    '/api/v1/live',
    '/api',
    '/healthz',
    '/metrics',
    '/mqtt',
    '/a/some.token',
    '/assets/index-old.js',
    '/worker.js',
    'https://elsewhere.example/assets/index-abc.js',
  ])('%s is not touched', path => {
    expect(way(path)).toBe('leave')
    expect(way(path, 'navigate')).toBe('leave')
  })

  it('nothing that changes something is touched', () => {
    for (const method of ['POST', 'PUT', 'DELETE', 'PATCH', 'HEAD'])
      for (const path of ['/', '/assets/index-abc.js']) expect(way(path, 'cors', method)).toBe('leave')
  })

  it('files with a hash are kept, the others asked for anew', () => {
    expect(way('/assets/index-abc.js')).toBe('kept')
    expect(way('/manifest.webmanifest')).toBe('fresh')
    expect(way('/icons/cone-192.png')).toBe('fresh')
  })
})
