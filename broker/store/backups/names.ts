/** A backup's file says of when it is, by the service's clock, to the second and in UTC: a folder sorts by time. */
const NAME = /^brinewatch-(\d{4})-(\d\d)-(\d\d)T(\d\d)(\d\d)(\d\d)Z(?:-before-schema-(\d+))?\.db$/

export interface BackupName {
  readonly name: string
  readonly atMs: number
  /** Made because the database was about to be brought to this version; `null` of the daily ones. */
  readonly beforeSchema: number | null
}

export function nameBackup(atMs: number, beforeSchema: number | null = null): string {
  const stamp = new Date(atMs)
    .toISOString()
    .replace(/\.\d+Z$/, 'Z')
    .replaceAll(':', '')
  return `brinewatch-${stamp}${beforeSchema === null ? '' : `-before-schema-${beforeSchema}`}.db`
}

/** The backups among the names of a folder's files, newest first; what else lies there is none of ours. */
export function backupsAmong(names: readonly string[]): BackupName[] {
  return names
    .flatMap(name => {
      const [, y, mo, d, h, mi, s, schema] = NAME.exec(name) ?? []
      if (y === undefined) return []
      const atMs = Date.parse(`${y}-${mo}-${d}T${h}:${mi}:${s}Z`)
      return Number.isNaN(atMs) ? [] : [{ name, atMs, beforeSchema: schema === undefined ? null : +schema }]
    })
    .sort((a, b) => b.atMs - a.atMs || (a.name < b.name ? 1 : -1))
}
