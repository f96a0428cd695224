import { plainMinutes } from '../hatch/plain-minutes.ts'
import { celsiusToFahrenheit } from '../hatch/units.ts'

/** `29.8 °C (85.6 °F)`. */
export function temperature(celsius: number, digits = 1): string {
  return `${celsius.toFixed(digits)} °C (${celsiusToFahrenheit(celsius).toFixed(digits)} °F)`
}

/** A difference: `0.8 °C (1.4 °F)`. */
export function temperatureStep(celsius: number): string {
  return `${celsius.toFixed(1)} °C (${((celsius * 9) / 5).toFixed(1)} °F)`
}

/** A value and its limit in words, with a second digit where one would make two that differ look the same. */
export function temperaturePair(celsius: number | null, limitC: number): [value: string, limit: string] {
  if (celsius === null) return ['not known', temperature(limitC)]
  const digits = celsius !== limitC && celsius.toFixed(1) === limitC.toFixed(1) ? 2 : 1
  return [temperature(celsius, digits), temperature(limitC, digits)]
}

/** `0.05 l/min`, `1.2 l/min`: two significant digits. */
export function airFlow(litresPerMinute: number): string {
  return `${Number(litresPerMinute.toPrecision(2))} l/min`
}

/** `45 s`, `1 min 40 s`, `12 min`, `2 h`: to ten seconds below five minutes, for what was set to 100 s is neither one minute nor two. */
export function duration(ms: number): string {
  if (ms < 60_000) return `${Math.round(ms / 1000)} s`
  const tens = Math.round(ms / 10_000)
  if (tens < 30)
    return tens % 6 === 0 ? `${tens / 6} min` : `${Math.floor(tens / 6)} min ${(tens % 6) * 10} s`
  return ms < 90 * 60_000 ? `${Math.round(ms / 60_000)} min` : `${Math.round(ms / 3_600_000)} h`
}

/** Minutes that are left, rounded down to a plain figure: `12 min`, `1 h 45 min`, `4.5 h`, `less than 1 min`. */
export function minutesLeft(minutes: number): string {
  const plain = plainMinutes(minutes)
  if (plain === 0) return 'less than 1 min'
  if (plain < 60) return `${plain} min`
  if (plain >= 180 || plain % 60 === 0) return `${plain / 60} h`
  return `${Math.floor(plain / 60)} h ${plain % 60} min`
}
