import { mkdirSync, mkdtempSync, readdirSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { SimFlagError } from '../flags.ts'

/** Where the demo keeps its data. */
export interface DataFolder {
  readonly path: string
  /** Takes away what the demo wrote; nothing else was there when it began. */
  remove(): void
}

/** A folder of its own, or the one that was asked for. @throws SimFlagError where anything is in that: it may be somebody's real data. */
export function openDataFolder(asked: string | null): DataFolder {
  if (asked === null) {
    const path = mkdtempSync(join(tmpdir(), 'brinewatch-demo-'))
    return { path, remove: () => rmSync(path, { recursive: true, force: true }) }
  }
  const path = resolve(asked)
  const isNew = made(path)
  if (!isNew) checkEmpty(path)
  return {
    path,
    remove() {
      if (isNew) rmSync(path, { recursive: true, force: true })
      else for (const name of readdirSync(path)) rmSync(join(path, name), { recursive: true, force: true })
    },
  }
}

function made(path: string): boolean {
  try {
    // Not what is missing above it: a slip of the pen is to be told.
    mkdirSync(path, { mode: 0o700 })
    return true
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException
    if (code === 'EEXIST') return false
    throw refused(
      path,
      code === 'ENOENT' ? 'the folder above it is not there' : `it cannot be made (${code})`,
    )
  }
}

function checkEmpty(path: string): void {
  let names: readonly string[]
  try {
    names = readdirSync(path)
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException
    throw refused(path, code === 'ENOTDIR' ? 'it is no folder' : `it cannot be read (${code})`)
  }
  if (names.length > 0)
    throw refused(
      path,
      'something is in it, and the demo furnishes only an empty folder. What a demo left there is looked at with npm start -- --data',
    )
}

const refused = (path: string, why: string) => new SimFlagError(`Cannot use --data ${path}: ${why}`)
