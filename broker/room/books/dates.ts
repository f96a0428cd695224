/** Dates without a time of day, `2026-11-25`, as people write them on a tin. They are taken as days of UTC. */
export const DATE = /^\d{4}-\d{2}-\d{2}$/

/** The beginning of a date, Unix ms; `null` for what is no date. */
export function dateMs(date: string | null): number | null {
  if (date === null || !DATE.test(date)) return null
  const atMs = Date.parse(`${date}T00:00:00Z`)
  // The 31st of a short month is read as a day of the next.
  return Number.isFinite(atMs) && new Date(atMs).toISOString().startsWith(date) ? atMs : null
}
