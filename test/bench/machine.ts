import { readFileSync, statfsSync } from 'node:fs'
import { availableParallelism, cpus, loadavg, release, tmpdir, totalmem } from 'node:os'
import Database from 'better-sqlite3'

const MEASURED_PACKAGES = ['aedes', 'better-sqlite3', 'hono', 'ws', 'lit', 'uplot', 'playwright-core']
/** `f_type` of tmpfs, from the kernel's magic.h: there a commit costs nothing, and intake would look better than it is. */
const TMPFS = 0x01021994

/** Where and with what it was measured, a line each. */
export function machine(): string[] {
  const gib = (bytes: number) => (bytes / 2 ** 30).toFixed(1)
  const inMemory = statfsSync(tmpdir()).type === TMPFS
  return [
    `${cpus()[0]?.model ?? 'unknown processor'}, ${availableParallelism()} cores, ${gib(totalmem())} GiB, ` +
      `Linux ${release()}, load average ${loadavg()[0]!.toFixed(1)} at the end`,
    `node ${process.version}, SQLite ${sqliteVersion()}, ${MEASURED_PACKAGES.map(versionOf).join(', ')}`,
    `data on ${inMemory ? 'a RAM disk: commits cost nothing here, so intake is not comparable' : 'a disk'}`,
  ]
}

function versionOf(name: string): string {
  // Not every package lets its package.json be required.
  const file = new URL(`../../node_modules/${name}/package.json`, import.meta.url)
  const { version } = JSON.parse(readFileSync(file, 'utf8')) as { version: string }
  return `${name} ${version}`
}

function sqliteVersion(): string {
  const db = new Database(':memory:')
  try {
    return db.prepare<[], string>('SELECT sqlite_version()').pluck().get() ?? 'unknown'
  } finally {
    db.close()
  }
}
