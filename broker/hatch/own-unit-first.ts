export type TemperatureUnit = 'C' | 'F'

const NUMBER = '[-−]?\\d+(?:\\.\\d+)?'
const BOTH = new RegExp(
  `(${NUMBER}(?: to (?:about )?${NUMBER})?)\\s°C \\((${NUMBER}(?: to (?:about )?${NUMBER})?)\\s°F\\)`,
  'g',
)

/**
 * Words that give temperatures as `27 °C (80 °F)`, with the person's own unit first. Both figures stay as they stand, so a difference
 * stays one: nothing is reckoned here.
 */
export function ownUnitFirst(words: string, unit: TemperatureUnit): string {
  return unit === 'C' ? words : words.replace(BOTH, '$2 °F ($1 °C)')
}
