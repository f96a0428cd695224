import { existsSync, readFileSync } from 'node:fs'

/** The package's own description: one folder up from the source, two from the build. */
const found = ['../package.json', '../../package.json']
  .map(path => new URL(path, import.meta.url))
  .find(url => existsSync(url))

/** This program's version, as files that it writes say it: `brinewatch 0.1.0`. */
export const PROGRAM = `brinewatch ${
  found ? (JSON.parse(readFileSync(found, 'utf8')) as { version: string }).version : 'of an unknown version'
}`
