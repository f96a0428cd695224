import { readFileSync } from 'node:fs'

/**
 * Kept for what is not a connection: the database from each thread, the log, certificates, a backup, messages on their way to people.
 * Measured: the service at rest holds 30 to 45. Own choice of the rest.
 */
const RESERVED = 80
/** Fewer than this of either kind is no service: it is then allowed, and may run out. */
const LEAST = 8
const MOST = { devices: 1000, people: 2048 } as const

/** Connections that may be held at once. */
export interface ConnectionRoom {
  readonly devices: number
  readonly people: number
  /** What the limit on open files takes away, in words; `null` when nothing. */
  readonly words: string | null
}

/** How many files this process may hold open, from the text of /proc/self/limits (proc(5)); `null` where it does not say. */
export function openFilesLimit(limits: string | null = ownLimits()): number | null {
  const found = /^Max open files\s+(\d+)/m.exec(limits ?? '')
  return found ? Number(found[1]) : null
}

/**
 * Each connection is an open file. Out of them, SQLite could not open its log and no message could leave, so connections end
 * before files do: one more is closed at once, counted and logged, and tries again later.
 */
export function connectionRoom(limit: number | null): ConnectionRoom {
  const free = limit === null ? Infinity : limit - RESERVED
  const room = (most: number, share: number) => Math.max(LEAST, Math.min(most, Math.floor(free * share)))
  const [devices, people] = [room(MOST.devices, 2 / 3), room(MOST.people, 1 / 3)]
  const narrow = devices < MOST.devices || people < MOST.people
  const words = `This machine lets the service open ${limit} files at once, so at most ${devices} devices and ${people} connections of screens are taken. Allow it more: ulimit -n, or LimitNOFILE in the service unit.`
  return { devices, people, words: narrow ? words : null }
}

function ownLimits(): string | null {
  try {
    return readFileSync('/proc/self/limits', 'utf8')
  } catch {
    return null // Only Linux tells.
  }
}
