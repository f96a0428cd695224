/** The first wait, doubled by each further failure, and its limit. */
const FIRST_MS = 1000
export const LONGEST_MS = 5 * 60_000

/** How long one message is tried for. What the person did not hear of in a day is no longer news. */
export const GIVE_UP_AFTER_MS = 24 * 3_600_000

/**
 * How long to wait after so many failures in a row: half of it for certain and half by chance, so that many do not come
 * together again. At least as long as the other side asks, within the limit.
 * @param random From 0 to 1.
 */
export function waitMs(failures: number, random: number, askedMs: number | null = null): number {
  const whole = Math.min(LONGEST_MS, FIRST_MS * 2 ** Math.min(Math.max(0, failures - 1), 30))
  return Math.max(Math.round(whole / 2 + (whole / 2) * random), Math.min(askedMs ?? 0, LONGEST_MS))
}
