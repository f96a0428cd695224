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

/** Both units to a tenth, the chosen one first: `{ first: '27.4', firstUnit: '°C', second: '81.3 °F' }`. */
export function temperatureWords(waterC: number, unit: TemperatureUnit): TemperatureWords {
  const celsius = tenth(waterC)
  const fahrenheit = tenth(toF(waterC))
  return unit === 'C'
    ? { first: celsius, firstUnit: '°C', second: `${fahrenheit} °F` }
    : { first: fahrenheit, firstUnit: '°F', second: `${celsius} °C` }
}

/** One line: `27.4 °C (81.3 °F)`. */
export function temperatureText(waterC: number, unit: TemperatureUnit): string {
  const words = temperatureWords(waterC, unit)
  return `${words.first} ${words.firstUnit} (${words.second})`
}

/** In the person's unit alone, where there is no room for both: `27.4 °C`. */
export function shortTemperature(waterC: number, unit: TemperatureUnit): string {
  const words = temperatureWords(waterC, unit)
  return `${words.first} ${words.firstUnit}`
}

/** To the degree, where more is not known: `27 °C`. */
export function wholeTemperature(waterC: number, unit: TemperatureUnit): string {
  return unit === 'C' ? `${Math.round(waterC)} °C` : `${Math.round(toF(waterC))} °F`
}

/** A difference of temperatures, which has no 32 in it: 0.5 °C is 0.9 °F. */
export function differenceText(celsius: number, unit: TemperatureUnit): string {
  const first = unit === 'C' ? `${tenth(celsius)} °C` : `${tenth(celsius * 1.8)} °F`
  const second = unit === 'C' ? `${tenth(celsius * 1.8)} °F` : `${tenth(celsius)} °C`
  return `${first} (${second})`
}

/** A tenth, with a true minus sign and never "-0.0". */
function tenth(value: number): string {
  const text = value.toFixed(1)
  if (text === '-0.0') return '0.0'
  return text.replace('-', '−')
}
