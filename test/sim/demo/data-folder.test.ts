import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { openDataFolder } from '../../../sim/demo/data-folder.ts'

let dir: string
beforeEach(() => (dir = mkdtempSync(join(tmpdir(), 'brinewatch-test-'))))
afterEach(() => rmSync(dir, { recursive: true, force: true }))

describe('the folder that the demo keeps its data in', () => {
  it('is one of its own, and gone afterwards', () => {
    const folder = openDataFolder(null)
    writeFileSync(join(folder.path, 'x'), '')
    folder.remove()
    expect(existsSync(folder.path)).toBe(false)
  })

  it('is one that is made, or an empty one, which stays', () => {
    const made = openDataFolder(join(dir, 'new'))
    expect(existsSync(made.path)).toBe(true)
    made.remove()
    expect(existsSync(made.path)).toBe(false)
    mkdirSync(join(dir, 'empty'))
    const empty = openDataFolder(join(dir, 'empty'))
    mkdirSync(join(empty.path, 'backups'))
    empty.remove()
    expect(readdirSync(empty.path)).toEqual([])
  })

  it('is never one that holds anything, which stays as it was', () => {
    const file = join(dir, 'brinewatch.db')
    writeFileSync(file, 'real')
    expect(() => openDataFolder(dir)).toThrow(/^Cannot use --data .*something is in it.*npm start -- --data/)
    expect(readFileSync(file, 'utf8')).toBe('real')
    expect(() => openDataFolder(file)).toThrow('it is no folder')
    expect(() => openDataFolder(join(dir, 'a', 'b'))).toThrow('the folder above it is not there')
  })
})
