/** Figures that a person keeps in mind: nothing here is known to the minute. */
const BELOW_AN_HOUR = [1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 15, 20, 25, 30, 40, 50]

/**
 * Minutes that are left, rounded down to a plain figure: never more than there are. Above an hour in quarters, above three in halves
 * of an hour. 0 for less than a minute.
 */
export function plainMinutes(minutes: number): number {
  if (minutes >= 180) return Math.floor(minutes / 30) * 30
  if (minutes >= 60) return Math.floor(minutes / 15) * 15
  return BELOW_AN_HOUR.filter(figure => figure <= minutes).at(-1) ?? 0
}
