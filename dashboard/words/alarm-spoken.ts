import { ownUnitFirst, type TemperatureUnit } from './temperature.ts'

/** Units as they are said; a voice spells out what is not a word. */
const SAID: readonly (readonly [RegExp, string])[] = [
  [/(\d)\s*l\/min\b/g, '$1 litres a minute'],
  [/(\d)\s*lx\b/g, '$1 lux'],
  [/(\d)\s*g\/L\b/g, '$1 grams a litre'],
  [/(\d)\s*mg\/l\b/gi, '$1 milligrams a litre'],
  [/\b1 min\b/g, '1 minute'],
  [/(\d)\s*min\b/g, '$1 minutes'],
  [/\b1 h\b/g, '1 hour'],
  [/(\d)\s*h\b/g, '$1 hours'],
  [/\b1 s\b/g, '1 second'],
  [/(\d)\s*s\b/g, '$1 seconds'],
]

/** An alarm's words for a screen reader: one unit of temperature, the person's own, and units as words. */
export function spoken(text: string, unit: TemperatureUnit): string {
  const own = ownUnitFirst(text, unit).replace(/(°[CF]) \([^)]*°[CF]\)/g, '$1')
  return SAID.reduce((words, [written, said]) => words.replace(written, said), own)
}
