import type { WakeHours } from './contract.ts'
import { minuteOfDay, minutesOf } from './local-time.ts'

const DAY_MIN = 24 * 60

/** Answers whether the person is up at a moment. Whoever has the same time for both is always up. */
export function wakefulness({ from, until }: WakeHours, zone: string): (atMs: number) => boolean {
  const begin = minutesOf(from)
  const length = (minutesOf(until) - begin + DAY_MIN) % DAY_MIN
  if (length === 0) return () => true
  const known = new Map<number, boolean>()
  return atMs => {
    let awake = known.get(atMs)
    if (awake === undefined) {
      awake = (minuteOfDay(atMs, zone) - begin + DAY_MIN) % DAY_MIN <= length
      known.set(atMs, awake)
    }
    return awake
  }
}
