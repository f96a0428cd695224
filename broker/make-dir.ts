import { existsSync, mkdirSync } from 'node:fs'
import { dirname, resolve } from 'node:path'

/**
 * Makes a directory and what is missing above it, step by step: Node's own recursive way never ends below a directory that
 * refuses new entries by saying "not there", as /proc does.
 */
export function makeDir(path: string): void {
  const full = resolve(path)
  if (existsSync(full)) return
  if (dirname(full) !== full) makeDir(dirname(full))
  mkdirSync(full, { mode: 0o700 })
}
