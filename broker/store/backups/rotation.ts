import type { BackupName } from './names.ts'

const DAY_MS = 86_400_000
/** Own choice: a slip is found within days, a slow fault of the disk within weeks. */
export const DAILY_KEPT = 7
export const WEEKLY_KEPT = 4
export const BEFORE_UPGRADES_KEPT = 2

/**
 * Which backups have had their time: kept are the newest of each of the last seven days that have one, the newest of each of the
 * last four weeks that have one, and the last two made before an upgrade. A day and a week are counted from the epoch, in UTC.
 */
export function outlived(backups: readonly BackupName[]): BackupName[] {
  const newestFirst = [...backups].sort((a, b) => b.atMs - a.atMs)
  const daily = newestFirst.filter(({ beforeSchema }) => beforeSchema === null)
  const kept = new Set<BackupName>([
    ...newestOfEach(daily, DAY_MS, DAILY_KEPT),
    ...newestOfEach(daily, 7 * DAY_MS, WEEKLY_KEPT),
    ...newestFirst.filter(({ beforeSchema }) => beforeSchema !== null).slice(0, BEFORE_UPGRADES_KEPT),
  ])
  return newestFirst.filter(backup => !kept.has(backup))
}

function newestOfEach(newestFirst: readonly BackupName[], spanMs: number, most: number): BackupName[] {
  const bySpan = new Map<number, BackupName>()
  for (const backup of newestFirst) {
    const span = Math.floor(backup.atMs / spanMs)
    if (!bySpan.has(span)) bySpan.set(span, backup)
  }
  return [...bySpan.values()].slice(0, most)
}
