import { existsSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { BackupKeeper } from '../../../broker/store/backups/keeper.ts'
import { nameBackup } from '../../../broker/store/backups/names.ts'
import { SILENT } from '../../../broker/store/logger.ts'

const HOUR_MS = 3_600_000
const DAY_MS = 24 * HOUR_MS
const START_MS = Date.UTC(2026, 2, 5, 9)

describe('the keeper of backups', () => {
  let dataDir: string
  let dir: string
  let nowMs: number
  let free: number
  let made: string[]
  beforeEach(() => {
    dataDir = mkdtempSync(join(tmpdir(), 'brinewatch-backups-'))
    dir = join(dataDir, 'backups')
    nowMs = START_MS
    free = 1e12
    made = []
  })
  afterEach(() => rmSync(dataDir, { recursive: true, force: true }))

  const keeper = (backup?: (file: string) => Promise<void>) =>
    new BackupKeeper({
      store: {
        backup:
          backup ??
          (async file => {
            made.push(file)
            writeFileSync(file, 'copy')
          }),
      },
      dataDir,
      dir,
      clock: () => nowMs,
      logger: SILENT,
      freeBytes: async () => free,
    })
  /** Lets time pass in steps of a quarter of an hour, each backup ending within its step. */
  async function pass(kept: BackupKeeper, ms: number): Promise<void> {
    for (const end = nowMs + ms; nowMs < end;) {
      nowMs += HOUR_MS / 4
      kept.tick()
      // What is begun ends before the next step: files are written at once here.
      while (kept.running) await new Promise(resolve => setImmediate(resolve))
    }
  }

  it('makes the first one soon after the start, and then one a day', async () => {
    const kept = keeper()
    kept.tick()
    expect(made).toEqual([])
    await pass(kept, HOUR_MS)
    expect(made).toEqual([join(dir, nameBackup(START_MS + HOUR_MS / 4))])
    await pass(kept, 3 * DAY_MS)
    expect(made).toHaveLength(4)
    expect(kept.state).toMatchObject({ count: 4, bytes: 16, newestAtMs: START_MS + HOUR_MS / 4 + 3 * DAY_MS })
  })

  it('makes none before its time after a restart', async () => {
    await pass(keeper(), HOUR_MS)
    await pass(keeper(), 22 * HOUR_MS)
    expect(made).toHaveLength(1)
    await pass(keeper(), 2 * HOUR_MS)
    expect(made).toHaveLength(2)
  })

  it('is not held back by a backup from a future that a wrong clock made', async () => {
    const kept = keeper()
    await pass(kept, HOUR_MS)
    nowMs += 400 * DAY_MS
    await pass(kept, HOUR_MS)
    nowMs = START_MS + 2 * DAY_MS
    const again = keeper()
    await pass(again, HOUR_MS)
    expect(made).toHaveLength(3)
  })

  it('makes room by itself', async () => {
    await pass(keeper(), 40 * DAY_MS)
    expect(readdirSync(dir).length).toBeLessThanOrEqual(11)
    expect(made).toHaveLength(40)
  })

  it('says why there is none and since when, tries again each hour, and leaves the disk its room', async () => {
    const kept = keeper()
    free = 1e6
    await pass(kept, 5 * HOUR_MS)
    expect(kept.overdue).toMatchObject({ sinceMs: START_MS + HOUR_MS / 4 })
    expect(kept.overdue!.detail).toMatch(/must have 67 MB free, got 1;/)
    free = 1e12
    await pass(kept, HOUR_MS)
    expect(kept.overdue).toBeNull()
    expect(made).toHaveLength(1)
  })

  it('outlives a backup that fails', async () => {
    let fails = true
    const kept = keeper(async file => {
      if (fails) throw new Error('the disk refuses')
      writeFileSync(file, 'copy')
    })
    await pass(kept, HOUR_MS)
    expect(kept.overdue).toMatchObject({ detail: 'the disk refuses' })
    fails = false
    await pass(kept, 2 * HOUR_MS)
    expect(kept.overdue).toBeNull()
    expect(existsSync(dir)).toBe(true)
  })

  it('waits at its end for the one under way, and begins none after', async () => {
    let finish = () => undefined as void
    const kept = keeper(() => new Promise(resolve => (finish = resolve)))
    nowMs += HOUR_MS
    kept.tick()
    await new Promise(resolve => setImmediate(resolve))
    let closed = false
    const closing = kept.close().then(() => (closed = true))
    await new Promise(resolve => setImmediate(resolve))
    expect(closed).toBe(false)
    while (!closed) {
      finish()
      await new Promise(resolve => setImmediate(resolve))
    }
    await closing
    nowMs += 9 * DAY_MS
    kept.tick()
    expect(kept.running).toBe(false)
  })
})
