/** A moment (Unix ms) as the API writes it: ISO 8601 in UTC. */
export const iso = (atMs: number): string => new Date(atMs).toISOString()
export const isoOrNull = (atMs: number | null): string | null => (atMs === null ? null : iso(atMs))
