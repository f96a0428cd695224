import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { backupsAmong, nameBackup, type BackupName } from '../../../broker/store/backups/names.ts'
import {
  BEFORE_UPGRADES_KEPT,
  DAILY_KEPT,
  outlived,
  WEEKLY_KEPT,
} from '../../../broker/store/backups/rotation.ts'

const DAY_MS = 86_400_000
/** A Thursday: weeks are counted from the epoch, which began on one. */
const THURSDAY = Date.UTC(2026, 10, 26)

const backups = (...atMs: number[]): BackupName[] => backupsAmong(atMs.map(at => nameBackup(at)))
const times = (list: readonly BackupName[]): number[] => list.map(({ atMs }) => atMs)

describe('the names of backups', () => {
  it('sort by time, and say it to the second', () => {
    expect(nameBackup(Date.UTC(2026, 0, 2, 3, 4, 5, 999))).toBe('brinewatch-2026-01-02T030405Z.db')
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 4e12 }),
        fc.option(fc.integer({ min: 1, max: 99 })),
        (at, schema) => {
          const [read] = backupsAmong([nameBackup(at, schema)])
          expect(read).toMatchObject({ atMs: Math.floor(at / 1000) * 1000, beforeSchema: schema })
        },
      ),
    )
  })

  it('are told from whatever else lies in the folder', () => {
    const others = [
      'brinewatch.db',
      'brinewatch-2026.db',
      'notes.txt',
      'brinewatch-2026-13-40T990000Z.db',
      '',
    ]
    expect(backupsAmong([...others, nameBackup(0)])).toHaveLength(1)
  })
})

describe('of daily backups', () => {
  it('a year of them leaves seven days and four weeks', () => {
    let kept: BackupName[] = []
    for (let day = 0; day < 365; day++) {
      kept = backupsAmong([...kept, ...backups(THURSDAY + day * DAY_MS)].map(({ name }) => name))
      const gone = new Set(outlived(kept))
      kept = kept.filter(backup => !gone.has(backup))
    }
    const ages = times(kept).map(at => (THURSDAY + 364 * DAY_MS - at) / DAY_MS)
    // The 365th day is a Thursday again, the first of its week: each week's newest is a Wednesday's.
    expect(ages).toEqual([0, 1, 2, 3, 4, 5, 6, 8, 15])
  })

  it('the newest is kept whatever there is, and never more than the most', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 400 * DAY_MS }), { minLength: 1 }), ages => {
        const all = backups(...new Set(ages.map(age => Math.floor((THURSDAY - age) / 1000) * 1000)))
        const gone = new Set(outlived(all))
        const kept = all.filter(backup => !gone.has(backup))
        expect(kept[0]).toBe(all[0])
        expect(kept.length).toBeLessThanOrEqual(DAILY_KEPT + WEEKLY_KEPT)
        expect(outlived(kept)).toEqual([])
      }),
    )
  })

  it('of one day the newest stays', () => {
    const all = backups(THURSDAY + 1000, THURSDAY + 2000, THURSDAY + 3000)
    expect(times(outlived(all))).toEqual([THURSDAY + 2000, THURSDAY + 1000])
  })

  it('those made before an upgrade count by themselves', () => {
    const before = [9, 10, 11].map(schema => nameBackup(THURSDAY - schema * DAY_MS, schema))
    const all = backupsAmong([...before, nameBackup(THURSDAY)])
    expect(outlived(all).map(({ beforeSchema }) => beforeSchema)).toEqual([11])
    expect(BEFORE_UPGRADES_KEPT).toBe(2)
  })
})
