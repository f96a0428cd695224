import type { TemperatureUnit } from '../../broker/hatch/own-unit-first.ts'

export { ownUnitFirst, type TemperatureUnit } from '../../broker/hatch/own-unit-first.ts'

export const toF = (celsius: number): number => (celsius * 9) / 5 + 32
export const toC = (fahrenheit: number): number => ((fahrenheit - 32) * 5) / 9

/** A temperature as it is written in both units, the person's own first. */
export interface TemperatureWords {
  readonly first: string
  readonly firstUnit: string
  readonly second: string
}

/**
 * How many digits a temperature and its limit are told with side by side: one more where a tenth would make two that differ look the same,
 * in either unit.
 */
export function digitsBeside(waterC: number | null, limitC: number): number {
  if (waterC === null || waterC === limitC) return 1
  const isAlike = fixed(waterC) === fixed(limitC) || fixed(toF(waterC)) === fixed(toF(limitC))
  return isAlike ? 2 : 1
}

/** Both units to a tenth, the chosen one first: `{ first: '27.4', firstUnit: '°C', second: '81.3 °F' }`. */
export function temperatureWords(waterC: number, unit: TemperatureUnit, digits = 1): TemperatureWords {
  const celsius = fixed(waterC, digits)
  const fahrenheit = fixed(toF(waterC), digits)
  return unit === 'C'
    ? { first: celsius, firstUnit: '°C', second: `${fahrenheit} °F` }
    : { first: fahrenheit, firstUnit: '°F', second: `${celsius} °C` }
}

/** One line: `27.4 °C (81.3 °F)`. */
export function temperatureText(waterC: number, unit: TemperatureUnit, digits = 1): string {
  const words = temperatureWords(waterC, unit, digits)
  return `${words.first} ${words.firstUnit} (${words.second})`
}

/** In the person's unit alone, where there is no room for both: `27.4 °C`. */
export function shortTemperature(waterC: number, unit: TemperatureUnit, digits = 1): string {
  const words = temperatureWords(waterC, unit, digits)
  return `${words.first} ${words.firstUnit}`
}

/** To the degree, where more is not known: `27 °C`. */
export function wholeTemperature(waterC: number, unit: TemperatureUnit): string {
  return unit === 'C' ? `${Math.round(waterC)} °C` : `${Math.round(toF(waterC))} °F`
}

/** A difference of temperatures, which has no 32 in it: 0.5 °C is 0.9 °F. */
export function differenceText(celsius: number, unit: TemperatureUnit): string {
  const first = unit === 'C' ? `${fixed(celsius)} °C` : `${fixed(celsius * 1.8)} °F`
  const second = unit === 'C' ? `${fixed(celsius * 1.8)} °F` : `${fixed(celsius)} °C`
  return `${first} (${second})`
}

/** To a tenth or finer, with a true minus sign and never "-0.0". */
function fixed(value: number, digits = 1): string {
  const text = value.toFixed(digits)
  return Number(text) === 0 ? text.replace('-', '') : text.replace('-', '−')
}
