const FIRST_MS = 500
const LONGEST_MS = 15_000

/**
 * How long to wait before the nth try, counted from 0: doubling up to 15 s, and spread over half of that by `chance`
 * (0 to 1), so that a room full of screens does not come back in one instant.
 */
export function retryDelayMs(attempt: number, chance: number): number {
  const full = Math.min(LONGEST_MS, FIRST_MS * 2 ** Math.min(attempt, 10))
  return full / 2 + (full / 2) * chance
}
