import { readdirSync } from 'node:fs'
import { backupsAmong, type BackupName } from './names.ts'

/** The backups in a folder, newest first; none where there is no folder, or it cannot be read. */
export function backupsIn(dir: string): BackupName[] {
  try {
    return backupsAmong(readdirSync(dir))
  } catch {
    return []
  }
}
