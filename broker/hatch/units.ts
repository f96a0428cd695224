/** Milliseconds in an hour. */
export const HOUR_MS = 3_600_000

/** °C as °F; exact by definition of the scales. */
export function celsiusToFahrenheit(celsius: number): number {
  return (celsius * 9) / 5 + 32
}

/** °F as °C. */
export function fahrenheitToCelsius(fahrenheit: number): number {
  return ((fahrenheit - 32) * 5) / 9
}
