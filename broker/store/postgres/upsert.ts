/** The words of an insertion that replaces what has the same key. Columns that are in neither list stay as they are. */
export function upsert(
  table: string,
  columns: readonly string[],
  key: readonly string[],
  replaced: readonly string[] = columns.filter(column => !key.includes(column)),
): string {
  const places = columns.map((_, at) => `$${at + 1}`)
  const sets = replaced.map(column => `${column} = excluded.${column}`)
  return (
    `INSERT INTO ${table} (${columns.join(', ')}) VALUES (${places.join(', ')}) ON CONFLICT (${key.join(', ')}) ` +
    (sets.length === 0 ? 'DO NOTHING' : `DO UPDATE SET ${sets.join(', ')}`)
  )
}
